package scheduler

import (
	"potlife/rooms"
	"potlife/takeoff"
)

// DefaultRates are the rates a firm starts from, in minutes of one setter with
// one helper. Those of setting are common practice, in line with a Spanish
// price base (0.40 h of setter and helper a m², preus.rehabi-li-tar.com items
// re0052 and re0055, all work included) and with an installer's 5 to 7 m² a
// day for small bathroom walls (ukbathroomguru.com, grout and sealant
// included). No source was found for cuts, grout and sealing: those are
// common practice. What the crews record replaces them.
var DefaultRates = Rates{
	SetFloorPerM2: 26, SetWallPerM2: 40, SetMosaicPerM2: 85, // with PerPiece: 12–18, 8–12 and 4–7 m² in 8 h
	PerPiece: 1.2, PerCutSnap: 0.75, PerCutWet: 2, PerHole: 4.5,
	GroutPerM2: 7.5, SealPerM: 2.4, // 6–10 m²/h, 20–30 m/h
	PreparePerM2: 2.5, LevelPerM2: 4, PrimePerM2: 1.5,
	BoardPerM2: 18, MembranePerM2: 6, // a coat
	FlattenPerM2: 3, LayOutPerM2: 1.5, FillTub: 15, EmptyTub: 10, // half an hour of lines in a bathroom
	CleanPerM2: 1.5, HandOver: 30, CleanUp: 10,
	SingleSetter: 0.65,
}

// filled returns r with the default wherever it is zero.
func (r Rates) filled() Rates {
	d := DefaultRates
	for _, v := range []struct{ to, from *float64 }{
		{&r.SetFloorPerM2, &d.SetFloorPerM2}, {&r.SetWallPerM2, &d.SetWallPerM2}, {&r.SetMosaicPerM2, &d.SetMosaicPerM2},
		{&r.PerPiece, &d.PerPiece}, {&r.PerCutSnap, &d.PerCutSnap}, {&r.PerCutWet, &d.PerCutWet}, {&r.PerHole, &d.PerHole},
		{&r.GroutPerM2, &d.GroutPerM2}, {&r.SealPerM, &d.SealPerM},
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
			share := min(1, float64(h)/float64(s))
			if v := float64(s) * (r.SingleSetter + float64((1-r.SingleSetter)*share)); v > best.speed+1e-9 {
				best = gang{s, h, v}
			}
		}
	}
	return best
}

// smallFace is the size below which a tile counts as mosaic: 100 mm × 100 mm.
const smallFace = 0.01

// pieceMinutes is the time to set one piece, cutting left out.
func pieceMinutes(r Rates, kind string, p *takeoff.Piece, t takeoff.Tile, pattern string, difficulty float64) float64 {
	m2 := p.AreaMM2 / 1e6
	if difficulty == 0 {
		difficulty = 1
	}
	per := r.SetWallPerM2
	if flat(kind) {
		per = r.SetFloorPerM2
	}
	minutes := float64(per*m2) + r.PerPiece
	if faceM2(t) < smallFace {
		minutes = r.SetMosaicPerM2 * m2
	}
	return minutes * difficulty * patternFactor(pattern)
}

// patternFactor multiplies the setting time; common practice.
func patternFactor(pattern string) float64 {
	switch firstWord(pattern) {
	case "offset":
		return 1.05
	case "diagonal":
		return 1.25
	case "herringbone", "basket":
		return 1.5
	}
	return 1
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
