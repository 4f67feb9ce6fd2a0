package takeoff

import (
	"math"
	"strings"
	"testing"

	"potlife/rooms"
)

const (
	ft2 = 0.09290304 // m²
	lb  = 0.45359237 // kg
)

// Grout consumption against published coverage. Each case names where its figure
// stands.
func TestGroutConsumption(t *testing.T) {
	for _, c := range []struct {
		name          string
		a, b, c, d    rooms.Length
		density       float64
		low, high, kg float64 // kg/m² between low and high, times m² = kg
	}{
		// A maker's coverage line copied on a question page
		// (sweatlodgeradio.com/how-do-you-calculate-epoxy-grout): 5 kg cover 23 to
		// 24 m² of 300 × 300 × 10 mm with 2 mm joints.
		{"300 mm, 2 mm joint", 300 * mm, 300 * mm, 2 * mm, 10 * mm, 1.6, 5.0 / 24, 5.0 / 23, 0},
		// The same page: 25 lb cover about 200 ft² of 4 1/4 in wall tile, 1/4 in
		// thick, 1/8 in joint; a tenth either way for "about".
		{"4 1/4 in, 1/8 in joint", 4*rooms.Inch + rooms.Inch/4, 4*rooms.Inch + rooms.Inch/4, rooms.Inch / 8, rooms.Inch / 4, 1.6,
			25 * lb / (220 * ft2), 25 * lb / (180 * ft2), 0},
		// A chart (site.thebuilderdepot.com/blog/2010/02): 3/8 × 3/8 × 3/8 in
		// mosaic, 1/16 in joint, 0.94 lb/ft² with 10 % waste, to two figures.
		{"3/8 in mosaic, 1/16 in joint", 3 * rooms.Inch / 8, 3 * rooms.Inch / 8, rooms.Inch / 16, 3 * rooms.Inch / 8, 1.65,
			0.935 * lb / ft2 / 1.1, 0.945 * lb / ft2 / 1.1, 0},
		// A consumption table (asg-foto.ru/info/grout): 50 × 50 mm, 2 mm joint,
		// about 1 kg/m²; 8 mm deep.
		{"50 mm, 2 mm joint", 50 * mm, 50 * mm, 2 * mm, 8 * mm, 1.6, 0.95, 1.05, 0},
	} {
		if got := GroutKgPerM2(c.a, c.b, c.c, c.d, c.density); got < c.low || got > c.high {
			t.Errorf("%s: %.4f kg/m², published %.4f to %.4f", c.name, got, c.low, c.high)
		}
	}
}

// The grout of a real layout is the exact formula's on a whole number of modules.
func TestGroutOfLayout(t *testing.T) {
	in := bathJob(0)
	tile := in.Catalogue.Tiles[0]
	const joint, gap = 3 * mm, 5 * mm
	w, h := 2*gap+8*303*mm-joint, 2*gap+10*203*mm-joint
	s, l := takenWall("elm", "bath1", "north", w, h, tile)
	in.Jobs[0].Sites[0].Rooms = []rooms.Room{{Key: "bath1", Surfaces: []rooms.Surface{s}}}
	in.Layouts = []Layout{l}
	got := take(t, in)
	var net float64
	for _, m := range got.Materials {
		if m.Kind == KindGrout {
			net = m.Net
		}
	}
	// The outermost joints are missing: a strip of half a joint's width all round
	// of the modules' area, so the formula's whole area less that strip.
	modules := float64(8*303*10*203) / 1e6
	whole := GroutKgPerM2(300*mm, 200*mm, joint, tile.Thickness, GroutDensity) * modules
	missing := (float64(8*303*3+10*203*3) - 9) / 1e6 * 8 * GroutDensity
	if want := whole - missing; math.Abs(net-want) > 0.001 {
		t.Errorf("grout %.4f kg, the formula has %.4f", net, want)
	}
}

// Mortar against published bag yields (engineerfix.com, how much thinset per
// square foot): 50 lb on 80 to 100 ft² by 1/4 × 1/4 in notch, 60 to 80 by 1/4 ×
// 3/8, 40 to 50 by 1/2 × 1/2; and a price base's 6.0 and 6.8 kg/m² for 400 mm
// porcelain with double gluing (preus.rehabi-li-tar.com, re0052 and re0055).
func TestMortarRates(t *testing.T) {
	square := func(side rooms.Length) Tile { return Tile{Shape: rooms.Rect(0, 0, side, side)} }
	for _, c := range []struct {
		name      string
		tile      Tile
		zone      rooms.Zone
		sheet     float64
		low, high float64
	}{
		{"150 mm", square(150 * mm), rooms.Zone{}, 0, 50 * lb / (100 * ft2), 50 * lb / (80 * ft2)},
		{"300 mm", square(300 * mm), rooms.Zone{}, 0, 50 * lb / (80 * ft2), 50 * lb / (60 * ft2)},
		{"15 in", square(15 * rooms.Inch), rooms.Zone{}, 0, 50 * lb / (50 * ft2), 50 * lb / (40 * ft2)},
		{"400 mm, both faces", square(400 * mm), rooms.Zone{BackButter: true}, 0, 6.0, 6.8},
		{"data sheet first", square(400 * mm), rooms.Zone{}, 4.2, 4.2, 4.2},
	} {
		got, how := MortarRate(Product{Sheet: DataSheet{PerM2: c.sheet}}, nil, c.zone, c.tile)
		if got < c.low || got > c.high || how == "" {
			t.Errorf("%s: %.3f kg/m² (%s), published %.3f to %.3f", c.name, got, how, c.low, c.high)
		}
	}
}

// Sealant yields: ml per m = width × depth in mm (kingdelisealant.com, cost per
// metre; the lengths are worked out from it), and 10.1 US fl oz = 18 in³ on
// 24.4 ft of 1/4 × 1/4 in (midwestsealantsupply.com, 23823).
func TestSealantYield(t *testing.T) {
	for _, c := range []struct {
		width, depth rooms.Length
		ml, metres   float64
	}{
		{6 * mm, 6 * mm, 310, 8.61},
		{6 * mm, 3 * mm, 310, 17.2},
		{10 * mm, 6 * mm, 310, 5.17},
		{rooms.Inch / 4, rooms.Inch / 4, 18 * 16.387064, 24.4 * 0.3048},
	} {
		if got := c.ml / SealantMl(c.width, c.depth); math.Abs(got-c.metres) > 0.02*c.metres {
			t.Errorf("%s × %s: %.2f m from %.0f ml, published %.2f", c.width, c.depth, got, c.ml, c.metres)
		}
	}
}

// Depth of a soft joint: half the width, at least 6 and at most 13 mm (building
// practice, northernarchitecture.us); under 6 mm as deep as wide.
func TestSealantDepth(t *testing.T) {
	for _, c := range []struct{ width, want rooms.Length }{
		{3 * mm, 3 * mm}, {5 * mm, 5 * mm}, {6 * mm, 6 * mm}, {10 * mm, 6 * mm}, {16 * mm, 8 * mm}, {40 * mm, 13 * mm},
	} {
		if got := SealantDepth(c.width); got != c.want {
			t.Errorf("%s wide: %s deep, want %s", c.width, got, c.want)
		}
	}
}

// An edge that two surfaces share is sealed once, whichever of them says so.
func TestSharedSeamOnce(t *testing.T) {
	litres := func(change func(in *TakeIn)) float64 {
		in := bathJob(1)
		change(&in)
		for _, m := range take(t, in).Materials {
			if m.Kind == KindSealant {
				return m.Net
			}
		}
		return 0
	}
	apart := litres(func(*TakeIn) {})
	corner := 2.110 * 5 * 5 / 1000
	for name, change := range map[string]func(in *TakeIn){
		"first says": func(in *TakeIn) { in.Jobs[0].Sites[0].Rooms[0].Surfaces[0].Edges[1].Shared = "bath1/wall2#3" },
		"other says": func(in *TakeIn) { in.Jobs[0].Sites[0].Rooms[0].Surfaces[1].Edges[3].Shared = "bath1/wall1#1" },
		"both say": func(in *TakeIn) {
			in.Jobs[0].Sites[0].Rooms[0].Surfaces[0].Edges[1].Shared = "bath1/wall2#3"
			in.Jobs[0].Sites[0].Rooms[0].Surfaces[1].Edges[3].Shared = "bath1/wall1#1"
		},
	} {
		if got := apart - litres(change); math.Abs(got-corner) > 0.0021 {
			t.Errorf("%s: sealant less by %.4f l, the corner takes %.4f", name, got, corner)
		}
	}
}

// A room of every preparation, figures by hand from its 10 m².
func TestPreparation(t *testing.T) {
	in := bathJob(0)
	s, l := takenWall("elm", "bath1", "north", 5000*mm, 2000*mm, in.Catalogue.Tiles[0])
	s.Prepare = []string{"level", "prime", "board", "membrane"}
	s.LevellerDepth = 4 * mm
	s.Edges[1].Fill, s.Edges[1].Trim = rooms.FillTrim, "profile"
	s.Edges[2].Fill, s.Edges[2].Trim = rooms.FillTrim, "profile"
	in.Jobs[0].Sites[0].Rooms = []rooms.Room{{Key: "bath1", Surfaces: []rooms.Surface{s}}}
	in.Layouts = []Layout{l}
	got := take(t, in)
	want := map[string]struct {
		net      float64
		packages int
	}{
		KindPrimer:   {10 * 0.15, 1},
		KindLeveller: {10 * 4 * 1.7, 3},
		KindBoard:    {10, 12}, // 11 m² with the margin, 0.96 to the sheet
		// All coats on 10 m², one of two more on 150 mm along floor and two
		// corners: 5 + 2 + 2 m.
		KindMembrane: {10*0.74 + 9*0.15*0.74/2, 2},
		// 2 m and 5 m, each less the joint of 5 mm at its outer end, from bars of
		// 2.5 m: a whole one, 2.495 and 1.995 m.
		KindTrim: {6.99, 3},
	}
	for _, m := range got.Materials {
		w, ok := want[m.Kind]
		if !ok {
			continue
		}
		delete(want, m.Kind)
		if math.Abs(m.Net-w.net) > 0.002 || m.Packages != w.packages {
			t.Errorf("%s: %.3f net, %d packages; want %.3f, %d (%s)", m.Kind, m.Net, m.Packages, w.net, w.packages, m.How)
		}
	}
	if len(want) > 0 {
		t.Errorf("no line for %v", want)
	}
	if err := CheckTaken(got, in); err != nil {
		t.Error(err)
	}
}

// The calibre example printed on a maker's box (villeroy-boch.co.uk, questions
// on tiles): nominal 300 mm, calibre 5 = 295, 6 = 296, 7 = 297 mm; to hold the
// module the joint is 4 mm for calibre 6 and 3 mm for calibre 7.
func TestCalibreExample(t *testing.T) {
	for calibre, c := range map[int]struct{ work, joint rooms.Length }{5: {295 * mm, 5 * mm}, 6: {296 * mm, 4 * mm}, 7: {297 * mm, 3 * mm}} {
		if got := JointForModule(300*mm, c.work); got != c.joint {
			t.Errorf("calibre %d: joint %s, want %s", calibre, got, c.joint)
		}
	}
}

// Every kind has a unit, and a catalogue with one product of each is counted.
func TestMaterialsOfEveryKind(t *testing.T) {
	in := bathJob(0)
	for _, kind := range ProductKinds() {
		units := UnitsOf(kind)
		if len(units) == 0 {
			t.Fatalf("%s has no unit", kind)
		}
		if in.Catalogue.Of(kind) == nil {
			in.Catalogue.Products = append(in.Catalogue.Products, Product{Key: kind, Kind: kind, Supplier: "depot", Unit: units[0], PackageSize: 10, Price: 10_000})
		}
	}
	in.Catalogue.Tiles[0].Thickness = 11 * mm // deep enough for a rod behind 8 mm
	s, l := takenWall("elm", "bath1", "north", 2450*mm, 2110*mm, in.Catalogue.Tiles[0])
	s.Prepare = []string{"level", "prime", "board", "membrane"}
	s.Edges[0].Gap = 8 * mm // wide enough for a rod
	s.Edges[1].Fill, s.Edges[1].Trim = rooms.FillTrim, "profile"
	sawn := 0.0
	for i := range l.Zones[0].Pieces {
		if p := &l.Zones[0].Pieces[i]; len(p.Cuts) > 0 && p.Cuts[0].Side == "right" {
			p.Cuts[0].Tool = WetSaw
			sawn += p.Polygon.Outer.Box().Height().Metres()
		}
	}
	in.Jobs[0].Sites[0].Rooms = []rooms.Room{{Key: "bath1", Surfaces: []rooms.Surface{s}}}
	in.Layouts = []Layout{l}
	got := take(t, in)
	found := map[string]Material{}
	for _, m := range got.Materials {
		found[m.Kind] = m
	}
	for _, kind := range ProductKinds() {
		if m := found[kind]; m.Packages < 1 || m.How == "" {
			t.Errorf("%s: %+v", kind, m)
		}
	}
	if d := found[KindBlade].Net - sawn; d > 0.02 || d < -0.02 {
		t.Errorf("blade for %.3f m, %.3f are sawn", found[KindBlade].Net, sawn)
	}
	if found[KindWedge].Net != 2*9 { // nine pieces stand in the lowest course
		t.Errorf("%v wedges, want 18", found[KindWedge].Net)
	}
	if err := CheckTaken(got, in); err != nil {
		t.Error(err)
	}
}

// Soft joints in the field are filled with sealant; one in the pattern's own
// joint is not grouted.
func TestSealantOfSoftJoints(t *testing.T) {
	net := func(change func(*rooms.Surface, *Layout)) map[string]float64 {
		in := bathJob(0)
		s, l := takenWall("elm", "bath1", "north", 2450*mm, 2110*mm, in.Catalogue.Tiles[0])
		change(&s, &l)
		in.Jobs[0].Sites[0].Rooms = []rooms.Room{{Key: "bath1", Surfaces: []rooms.Surface{s}}}
		in.Layouts = []Layout{l}
		out := map[string]float64{}
		for _, m := range take(t, in).Materials {
			out[m.Kind] = m.Net
		}
		return out
	}
	a, b := rooms.Point{X: 1220 * mm, Y: 5 * mm}, rooms.Point{X: 1220 * mm, Y: 2005 * mm}
	before := net(func(*rooms.Surface, *Layout) {})
	for name, c := range map[string]struct {
		change          func(*rooms.Surface, *Layout)
		litres, groutKg float64
	}{
		// 2 m of 6 × 6 mm; 2 m of 3 × 3 mm in place of a joint 3 mm wide and 8 deep.
		"the surface's own": {func(s *rooms.Surface, _ *Layout) { s.SoftJoints = []rooms.SoftJoint{{A: a, B: b, Width: 6 * mm}} }, 0.072, 0},
		"through the tiles": {func(_ *rooms.Surface, l *Layout) {
			l.Zones[0].Movement = []MovementJoint{{A: a, B: b, Width: 6 * mm, Through: true}}
		}, 0.072, 0},
		"in a joint": {func(_ *rooms.Surface, l *Layout) { l.Zones[0].Movement = []MovementJoint{{A: a, B: b, Width: 3 * mm}} }, 0.018, -0.0768},
	} {
		after := net(c.change)
		if d := after[KindSealant] - before[KindSealant] - c.litres; math.Abs(d) > 0.0011 {
			t.Errorf("%s: %.4f l of sealant more, want %.4f", name, d+c.litres, c.litres)
		}
		if d := after[KindGrout] - before[KindGrout] - c.groutKg; math.Abs(d) > 0.0011 {
			t.Errorf("%s: %.4f kg of grout more, want %.4f", name, d+c.groutKg, c.groutKg)
		}
	}
}

// A bead fits the thickness of tile and bed: where sealant and a squeezed rod are
// deeper, it lies over tape.
func TestBeadIn(t *testing.T) {
	for _, c := range []struct {
		width, thickness, depth rooms.Length
		rod                     bool
	}{
		{5 * mm, 12 * mm, 5 * mm, false},                // narrow: over tape, as deep as wide
		{6 * mm, 12 * mm, 6 * mm, true},                 // 6 + 6 fit
		{6 * mm, 11 * mm, 6 * mm, false},                // and do not
		{10 * mm, 12 * mm, 6 * mm, false},               // 6 + 10
		{10 * mm, 16 * mm, 6 * mm, true},                // as deep as that
		{20 * mm, 40 * mm, 10 * mm, true},               // half its width
		{30 * mm, 50 * mm, 13 * mm, true},               // 13 mm at most
		{6 * mm, 5 * mm, 5 * mm, false},                 // mosaic: no deeper than the tile and its bed
		{rooms.Inch / 4, 14 * mm, rooms.Inch / 4, true}, // 1/4 in
	} {
		if got := beadIn(c.width, c.thickness, 1); got.rod != c.rod || absLength(got.depth-c.depth) > 400*rooms.Micrometre {
			t.Errorf("%s in %s: %s deep, rod %v; want %s, %v", c.width, c.thickness, got.depth, got.rod, c.depth, c.rod)
		}
	}
}

// The thinnest rod that is a quarter wider than the joint.
func TestRodFor(t *testing.T) {
	in := bathJob(0)
	rod := func(key string, d rooms.Length) Product {
		return Product{Key: key, Kind: KindBacker, Unit: "m", PackageSize: 50, Diameter: d}
	}
	tk := &taker{in: in}
	for _, c := range []struct {
		width rooms.Length
		want  string
		rods  []Product
	}{
		{6 * mm, "r8", []Product{rod("r13", 13*mm), rod("r8", 8*mm), rod("r6", 6*mm)}},
		{8 * mm, "r10", []Product{rod("r13", 13*mm), rod("r8", 8*mm), rod("r10", 10*mm)}},
		{12 * mm, "", []Product{rod("r13", 13*mm), rod("r8", 8*mm)}},
		{12 * mm, "any", []Product{rod("r13", 13*mm), rod("any", 0)}},
		{6 * mm, "r13", []Product{rod("any", 0), rod("r13", 13*mm)}},
	} {
		tk.in.Catalogue.Products = c.rods
		got := ""
		if p := tk.rodFor(c.width + c.width/4); p != nil {
			got = p.Key
		}
		if got != c.want {
			t.Errorf("behind %s: rod %q, want %q", c.width, got, c.want)
		}
	}
}

// Crossings counted by hand on a field of 4 columns and 3 courses: straight, 5 × 4
// points less the four corners; with every other course moved by half a tile, two
// for each upright joint, which lie at other places above and below.
func TestCrossings(t *testing.T) {
	piece := func(x0, y0, x1, y1 rooms.Length) Piece {
		return Piece{Full: true, Polygon: rooms.Polygon{Outer: rooms.Rect(x0*mm, y0*mm, x1*mm, y1*mm)}}
	}
	straight, bond := ZoneLayout{Zone: rooms.Zone{Pattern: "straight", Joint: 3 * mm}}, ZoneLayout{Zone: rooms.Zone{Pattern: "offset 1/2", Joint: 3 * mm}}
	for c := range rooms.Length(3) {
		for n := range rooms.Length(4) {
			straight.Pieces = append(straight.Pieces, piece(n*303, c*203, n*303+300, c*203+200))
			if c != 1 {
				bond.Pieces = append(bond.Pieces, piece(n*303, c*203, n*303+300, c*203+200))
			}
		}
	}
	bond.Pieces = append(bond.Pieces, piece(0, 203, 148, 403), piece(151, 203, 451, 403), piece(454, 203, 754, 403), piece(757, 203, 1057, 403), piece(1060, 203, 1209, 403))
	// Upright joints: 3 in the outer courses, 4 in the middle one, each with two ends;
	// and at either side the two level joints end.
	for _, c := range []struct {
		z    ZoneLayout
		want float64
	}{{straight, 16}, {bond, 2*(3+4+3) + 4}} {
		if got, how := crossings(&c.z); got != c.want || how == "" {
			t.Errorf("%s: %v crossings, want %v", c.z.Zone.Pattern, got, c.want)
		}
	}
	askew := ZoneLayout{Zone: rooms.Zone{Pattern: "diagonal", Joint: 3 * mm}, Pieces: []Piece{{Full: true, Polygon: rooms.Polygon{Outer: rooms.Ring{{X: 100 * mm}, {X: 200 * mm, Y: 100 * mm}, {X: 100 * mm, Y: 200 * mm}, {Y: 100 * mm}}}}}}
	if got, how := crossings(&askew); got != 1 || !strings.Contains(how, "derived") {
		t.Errorf("askew: %v, %s", got, how)
	}
}

// Render takes a tenth more, unless something smooth comes between.
func TestMortarOnRoughGround(t *testing.T) {
	for _, c := range []struct {
		s    rooms.Surface
		more bool
	}{
		{rooms.Surface{Layer: rooms.Board}, false}, {rooms.Surface{Layer: rooms.Render}, true}, {rooms.Surface{Layer: rooms.Render, Wet: true}, false},
		{rooms.Surface{Layer: rooms.Render, Prepare: []string{"prime"}}, true}, {rooms.Surface{Layer: rooms.Render, Prepare: []string{"board"}}, false},
	} {
		got, how := MortarRate(Product{Sheet: DataSheet{PerM2: 3}}, &c.s, rooms.Zone{}, whiteTile())
		if (math.Abs(got-3.3) < 1e-9) != c.more || math.Abs(got-3) < 1e-9 == c.more {
			t.Errorf("%+v: %v kg/m², %s", c.s, got, how)
		}
	}
}

// What the firm's products lack is told of every surface that takes it, once of each,
// in the same words, so that it is printed once with all its places.
func TestLackIsToldOfEverySurface(t *testing.T) {
	in := bathJob(0)
	in.Catalogue.Products = []Product{{Key: "thin", Kind: KindBacker, Unit: "m", PackageSize: 50, Diameter: 3 * mm}}
	out := &Taken{}
	tk := &taker{in: in, out: out}
	s := func(key string) *takenSurface { return &takenSurface{key: key} }
	b := bead{width: 6 * mm, depth: 6 * mm, metres: 2, rod: true}
	for _, key := range []string{"job/bath/floor", "job/shower/floor"} {
		tk.needRods(s(key), []bead{b, b})
	}
	if len(out.Findings) != 2 || out.Findings[0].Message != out.Findings[1].Message || out.Findings[0].Where == out.Findings[1].Where {
		t.Errorf("findings %+v", out.Findings)
	}
}
