package scheduler

import (
	"strconv"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// DefaultRates are the rates a firm starts from, in minutes of one setter with
// one helper. Those of setting are common practice, in line with a Spanish
// price base (0.40 h of setter and helper a m², preus.rehabi-li-tar.com items
// re0052 and re0055, all work included) and with an installer's 5 to 7 m² a
// day for small bathroom walls (ukbathroomguru.com, grout and sealant
// included). Large tile takes more a m² and not less, as two carry, butter and
// level each one (6 to 10 m² in 8 h, common practice; the trade's association says
// that large tile is not quicker, tileletter 2016/11). No source was found for
// cuts, grout and sealing: those are common practice. What the crews record
// replaces them.
var DefaultRates = Rates{
	SetFloorPerM2: 26, SetWallPerM2: 40, SetMosaicPerM2: 85, // with PerPiece: 12–18, 8–12 and 4–7 m² in 8 h
	SetLargeFloorPerM2: 50, SetLargeWallPerM2: 65, // 9 and 7 m² in 8 h
	PerPiece: 1.2, PerCutSnap: 0.75, PerCutWet: 2, PerHole: 4.5,
	GroutPerM2: 6, GroutPerM: 0.3, // 300–600 mm tile 6–10 m²/h, small wall tile 4–6, mosaic 2–4
	SealPerM:     2.4, // 20–30 m/h
	PreparePerM2: 2.5, LevelPerM2: 4, PrimePerM2: 1.5,
	BoardPerM2: 18, MembranePerM2: 6, // a coat
	FlattenPerM2: 3, LayOutPerM2: 1.5, FillTub: 15, EmptyTub: 10, // half an hour of lines in a bathroom
	CleanPerM2: 1.5, HandOver: 30, CleanUp: 10,
	SingleSetter: 0.65,
}

// filled returns r with the default wherever it is zero.
func (r Rates) filled() Rates {
	d := DefaultRates
	if r.GroutPerM2 > 0 && r.GroutPerM == 0 {
		d.GroutPerM = 0 // it is all that grouting takes
	}
	for _, v := range []struct{ to, from *float64 }{
		{&r.SetFloorPerM2, &d.SetFloorPerM2}, {&r.SetWallPerM2, &d.SetWallPerM2}, {&r.SetMosaicPerM2, &d.SetMosaicPerM2},
		{&r.SetLargeFloorPerM2, &d.SetLargeFloorPerM2}, {&r.SetLargeWallPerM2, &d.SetLargeWallPerM2},
		{&r.PerPiece, &d.PerPiece}, {&r.PerCutSnap, &d.PerCutSnap}, {&r.PerCutWet, &d.PerCutWet}, {&r.PerHole, &d.PerHole},
		{&r.GroutPerM2, &d.GroutPerM2}, {&r.GroutPerM, &d.GroutPerM}, {&r.SealPerM, &d.SealPerM},
		{&r.PreparePerM2, &d.PreparePerM2}, {&r.LevelPerM2, &d.LevelPerM2}, {&r.PrimePerM2, &d.PrimePerM2},
		{&r.BoardPerM2, &d.BoardPerM2}, {&r.MembranePerM2, &d.MembranePerM2},
		{&r.FlattenPerM2, &d.FlattenPerM2}, {&r.LayOutPerM2, &d.LayOutPerM2}, {&r.FillTub, &d.FillTub}, {&r.EmptyTub, &d.EmptyTub},
		{&r.CleanPerM2, &d.CleanPerM2}, {&r.HandOver, &d.HandOver}, {&r.CleanUp, &d.CleanUp},
		{&r.SingleSetter, &d.SingleSetter},
	} {
		if *v.to == 0 {
			*v.to = *v.from
		}
	}
	return r
}

// gang is how many of a crew work on one activity, and how fast against one
// setter with one helper.
type gang struct {
	setters, helpers int
	speed            float64
}

// oneSetter does small work at the rate it is given with.
var oneSetter = gang{1, 0, 1}

// gangOf sends as many of the crew into the room as work fastest there: of all
// the numbers of setters and helpers that fit, those with the highest speed,
// and of equals the fewest people. A setter without a helper reaches
// Rates.SingleSetter of the pair's speed, a shared helper counts in part. One
// setter, helper or place more only adds to what it chooses from, so it never
// slows the work.
func gangOf(c Crew, people int, r Rates) gang {
	if people <= 0 {
		people = 2 // common practice: two in a bathroom
	}
	best := gang{}
	for n := 1; n <= people; n++ {
		for s := 1; s <= min(n, max(1, c.Setters)); s++ {
			h := n - s
			if h > c.Helpers {
				continue
			}
			if v := speedOf(s, h, r.SingleSetter); v > best.speed+1e-9 {
				best = gang{s, h, v}
			}
		}
	}
	return best
}

// The classes of tile by size, in m² of a face. Mosaic is less than 100 mm ×
// 100 mm, or comes in sheets; small tile is up to 200 mm × 200 mm, large tile from
// 600 mm × 1200 mm on (0.72 m² nominal, less the joint).
const (
	smallFace = 0.01
	fieldFace = 0.042
	LargeFace = 0.7
)

// sizeClass is the class of a tile: "mosaic", "small tile", "tile" or "large tile".
func sizeClass(t *takeoff.Tile) string {
	switch m2 := faceM2(*t); {
	case m2 < smallFace || t.StoneWidth > 0:
		return "mosaic"
	case m2 < fieldFace:
		return "small tile"
	case m2 >= LargeFace:
		return "large tile"
	}
	return "tile"
}

// pieceMinutes is the time to set one piece of a tile of a size class, cutting left out.
func pieceMinutes(r Rates, kind string, p *takeoff.Piece, class string, difficulty float64) float64 {
	m2 := p.AreaMM2 / 1e6
	if difficulty == 0 {
		difficulty = 1
	}
	if class == "mosaic" {
		return float64(r.SetMosaicPerM2*m2) * difficulty
	}
	per := r.SetWallPerM2
	switch large := class == "large tile"; {
	case large && flat(kind):
		per = r.SetLargeFloorPerM2
	case large:
		per = r.SetLargeWallPerM2
	case flat(kind):
		per = r.SetFloorPerM2
	}
	return (float64(per*m2) + r.PerPiece) * difficulty
}

// PatternFactors are what a firm starts from: how much longer than a straight
// pattern setting takes. Running bond, diagonal and herringbone are common
// practice, as is the basket weave; those of the others are from memory.
var PatternFactors = map[string]float64{
	"offset": 1.05, "diagonal": 1.25, "herringbone": 1.5, "double herringbone": 1.5, "basket weave": 1.5,
	"pinwheel": 1.25, "hexagon": 1.25, "octagon and dot": 1.25,
	"modular two sizes": 1.2, "modular three sizes": 1.3, "modular four sizes": 1.3,
}

// patternFactor multiplies the setting time of a zone. A straight pattern that is
// turned is a diagonal one.
func patternFactor(r Rates, z *rooms.Zone) float64 {
	family := familyOf(z)
	if f := r.Patterns[family]; f > 0 {
		return f
	}
	if f := PatternFactors[family]; f > 0 {
		return f
	}
	return 1
}

// familyOf is the family of a zone's pattern.
func familyOf(z *rooms.Zone) string {
	family := takeoff.PatternFamily(z.Pattern)
	if turned := z.Turn%90 != 0 || turnedName(z.Pattern); turned && (family == "straight" || family == "offset") {
		return "diagonal"
	}
	return family
}

// turnedName reports whether the name of a pattern turns it by less than a right
// angle: "straight 45".
func turnedName(pattern string) bool {
	words := strings.Fields(pattern)
	if len(words) < 2 {
		return false
	}
	d, err := strconv.Atoi(words[len(words)-1])
	return err == nil && d%90 != 0
}

// jointMetres is how many metres of joint a piece brings with it: half its
// outline, as its neighbours bring the other half, and the joints between the
// stones of a sheet.
func jointMetres(p *takeoff.Piece, t *takeoff.Tile) float64 {
	if t.StoneWidth > 0 && t.StoneHeight > 0 {
		return p.AreaMM2 / 1e6 * (1000/t.StoneWidth.Millimetres() + 1000/t.StoneHeight.Millimetres())
	}
	m := 0.0
	ring := p.Polygon.Outer
	for i, a := range ring {
		m += rooms.Distance(a, ring[(i+1)%len(ring)]).Metres()
	}
	return m / 2
}

// cutMinutes is the time of the cuts of a piece, made one by one; fixed
// settings at the saw take ahead of it (see aheadShare).
func cutMinutes(r Rates, p *takeoff.Piece) float64 {
	m := 0.0
	for _, c := range p.Cuts {
		switch c.Tool {
		case takeoff.Snap:
			m += r.PerCutSnap
		case takeoff.HoleSaw:
			m += r.PerHole
		default:
			m += r.PerCutWet
		}
	}
	return m
}

const (
	// aheadShare is the share of a cut's time that is left when its stop is set
	// once for the whole group, and measureMinutes what measuring a piece on site
	// takes; both common practice.
	aheadShare     = 0.6
	measureMinutes = 1.5
)

func faceM2(t takeoff.Tile) float64 {
	return ringMM2(t.Shape) / 1e6
}

// ringMM2 is the area of a ring in mm².
func ringMM2(r rooms.Ring) float64 {
	sum := 0.0
	for i, a := range r {
		b := r[(i+1)%len(r)]
		sum += float64(a.X.Millimetres()*b.Y.Millimetres()) - float64(b.X.Millimetres()*a.Y.Millimetres())
	}
	if sum < 0 {
		sum = -sum
	}
	return sum / 2
}

func polygonMM2(p rooms.Polygon) float64 {
	m := ringMM2(p.Outer)
	for _, h := range p.Holes {
		m -= ringMM2(h)
	}
	return m
}

// Flat surfaces are set lying; ceilings hang; all others stand.
func flat(kind string) bool {
	return kind == rooms.Floor || kind == rooms.ShowerFloor || kind == rooms.Bench
}
