package takeoff

import (
	flags "flag"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"

	"potlife/rooms"
)

const lmm = rooms.Millimetre

// box is a rectangular tile.
func box(key string, w, h rooms.Length) Tile {
	return Tile{Key: key, Shape: rooms.Rect(0, 0, w, h), Thickness: 8 * lmm, Material: "ceramic", PerBox: 10}
}

// hexagonTile is a regular hexagon w wide over its upright sides.
func hexagonTile(key string, w rooms.Length) Tile {
	h := rooms.Length(math.Round(float64(w) * 2 / math.Sqrt(3)))
	return Tile{Key: key, Thickness: 8 * lmm, Material: "porcelain", PerBox: 10, Shape: rooms.Ring{
		{X: w / 2, Y: 0}, {X: w, Y: h / 4}, {X: w, Y: h - h/4}, {X: w / 2, Y: h}, {X: 0, Y: h - h/4}, {X: 0, Y: h / 4}}}
}

// octagonTile is a square of w with its corners cut off, c along each side.
func octagonTile(key string, w, c rooms.Length) Tile {
	return Tile{Key: key, Thickness: 8 * lmm, Material: "porcelain", PerBox: 10, Shape: rooms.Ring{
		{X: c, Y: 0}, {X: w - c, Y: 0}, {X: w, Y: c}, {X: w, Y: w - c}, {X: w - c, Y: w}, {X: c, Y: w}, {X: 0, Y: w - c}, {X: 0, Y: c}}}
}

// patternCase is a pattern with tiles that suit it.
type patternCase struct {
	name  string
	joint rooms.Length
	tiles []Tile
}

// everyPattern lists each pattern that ships with tiles in modules of its own.
func everyPattern() []patternCase {
	b := func(w, h rooms.Length) Tile { return box("b", w*lmm, h*lmm) }
	c := func(w, h rooms.Length) Tile { return box("c", w*lmm, h*lmm) }
	d := func(w, h rooms.Length) Tile { return box("d", w*lmm, h*lmm) }
	rect, square := box("a", 297*lmm, 147*lmm), box("a", 197*lmm, 197*lmm)
	one := func(name string, t Tile) patternCase { return patternCase{name, 3 * lmm, []Tile{t}} }
	return []patternCase{
		one("straight", square), one("straight 30", rect), one("offset 1/2", rect), one("offset 1/3", rect), one("offset 0,1/3", rect),
		one("offset 0,1/3,2/3", box("a", 598*lmm+4321, 147*lmm)), one("diagonal", square), one("herringbone", rect), one("herringbone 45", box("a", 297*lmm, 72*lmm)),
		one("double herringbone", box("a", 297*lmm, 72*lmm)), one("double herringbone 45", rect), one("basket weave", rect),
		{"pinwheel", 3 * lmm, []Tile{square, b(97, 97)}},
		one("hexagon", hexagonTile("a", 173*lmm)), one("mosaic sheets", box("a", 298*lmm, 298*lmm)),
		// The dot leaves the joint to all four chamfers: 3 mm of 60·√2 + …, as near as whole mm come.
		{"octagon and dot", 3 * lmm, []Tile{octagonTile("a", 200*lmm, 59*lmm), box("b", 80*lmm, 80*lmm)}},
		{"modular two sizes", 3 * lmm, []Tile{box("a", 297*lmm, 297*lmm), b(147, 147)}},
		{"modular three sizes", 3 * lmm, []Tile{box("a", 297*lmm, 297*lmm), b(297, 147), c(147, 147)}},
		{"modular four sizes", 3 * lmm, []Tile{box("a", 297*lmm, 297*lmm), b(297, 147), c(147, 147), d(147, 297)}},
	}
}

// roomWith is a room of one surface in one pattern.
func roomWith(s rooms.Surface, p patternCase) RoomToLay {
	z := rooms.Zone{Key: "z", Tile: p.tiles[0].Key, Pattern: p.name, Joint: p.joint}
	tiles := map[string]Tile{}
	for i, t := range p.tiles {
		tiles[t.Key] = t
		if i > 0 {
			z.Tiles = append(z.Tiles, t.Key)
		}
	}
	if len(s.Zones) == 0 {
		s.Zones = []rooms.Zone{z}
	}
	return RoomToLay{Job: "j", Site: "s", Room: rooms.Room{Key: "r", Surfaces: []rooms.Surface{s}}, Tiles: tiles}
}

// startAnywhere lets a room's first zone start at a random place, but for one in
// four, whose start is searched: what is held to be exact must be so wherever a
// pattern starts, and most of the time would go into the search.
func startAnywhere(t *rapid.T, in RoomToLay) RoomToLay {
	if rapid.IntRange(0, 3).Draw(t, "searched") > 0 {
		in.Room.Surfaces[0].Zones[0].Datum = rooms.Datum{Across: rooms.At, Up: rooms.At,
			X: drawLength(t, "start x", 0, 1500), Y: drawLength(t, "start y", 0, 1500)}
	}
	return in
}

// drawSurface draws a random surface: a rectangle with corners cut out or off,
// and openings, some of them round.
func drawSurface(t *rapid.T) rooms.Surface {
	w, h := drawLength(t, "w", 700, 2600), drawLength(t, "h", 600, 2000)
	ring := rooms.Rect(0, 0, w, h)
	switch rapid.IntRange(0, 4).Draw(t, "form") {
	case 0: // L
		x, y := w/3+drawLength(t, "x", 0, 200), h/3+drawLength(t, "y", 0, 150)
		ring = rooms.Ring{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: y}, {X: x, Y: y}, {X: x, Y: h}, {X: 0, Y: h}}
	case 1: // gable
		ring = rooms.Ring{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h / 2}, {X: w/2 + drawLength(t, "x", 0, 100), Y: h}, {X: 0, Y: h * 2 / 3}}
	case 2: // out of square
		ring = rooms.Ring{{X: 0, Y: 0}, {X: w, Y: drawLength(t, "d", 0, 20)}, {X: w - drawLength(t, "e", 0, 20), Y: h}, {X: drawLength(t, "f", 0, 20), Y: h}}
	}
	s := rooms.Surface{Key: "s", Kind: rooms.Wall, Outline: ring, Measured: true}
	for range ring {
		s.Edges = append(s.Edges, rooms.Edge{Meets: rooms.InsideCorner, Gap: rooms.Length(rapid.IntRange(0, 8).Draw(t, "gap")) * lmm, GapMax: 10 * lmm})
	}
	for k := range rapid.IntRange(0, 3).Draw(t, "openings") {
		s.Openings = append(s.Openings, drawOpening(t, k, w, h))
	}
	return s
}

func drawLength(t *rapid.T, name string, least, most int) rooms.Length {
	return rooms.Length(rapid.IntRange(least*8, most*8).Draw(t, name)) * 1000
}

func drawOpening(t *rapid.T, k int, w, h rooms.Length) rooms.Opening {
	x := rooms.Length(rapid.IntRange(0, 100).Draw(t, "ox")) * w / 100
	y := rooms.Length(rapid.IntRange(0, 100).Draw(t, "oy")) * h / 100
	o := rooms.Opening{Key: fmt.Sprint("o", k), Gap: 3 * lmm, GapMax: 6 * lmm}
	if rapid.Bool().Draw(t, "round") {
		r := drawLength(t, "r", 12, 120)
		for i := range 16 {
			c, s := cosSin(i * 360 / 16)
			o.Outline = append(o.Outline, rooms.Point{X: x + round(c*float64(r)), Y: y + round(s*float64(r))})
		}
		return o
	}
	o.Outline = rooms.Rect(x, y, x+drawLength(t, "ow", 40, 500), y+drawLength(t, "oh", 40, 500))
	return o
}

// asGeom turns polygons into the reference library's geometry, in mm, each
// ring validated by it.
func asGeom(t fataler, ps ...rooms.Polygon) geom.Geometry {
	var all []geom.Polygon
	for _, p := range ps {
		var rings []geom.LineString
		for _, r := range p.Rings() {
			var xy []float64
			for i := range len(r) + 1 {
				q := r[i%len(r)]
				xy = append(xy, q.X.Millimetres(), q.Y.Millimetres())
			}
			ring := geom.NewLineString(geom.NewSequence(xy, geom.DimXY))
			if err := geom.NewPolygon([]geom.LineString{ring}).Validate(); err != nil {
				t.Fatalf("%v: %s", err, ring.AsText())
			}
			rings = append(rings, ring)
		}
		all = append(all, geom.NewPolygon(rings))
	}
	if len(all) == 1 {
		return all[0].AsGeometry()
	}
	return geom.NewMultiPolygon(all).AsGeometry()
}

type fataler interface{ Fatalf(string, ...any) }

// TestEveryPatternAgainstSimplefeatures lays random surfaces in random patterns
// and clips each tile of the lattice with the reference library as well: the
// same tiles, the same areas, no overlap, joints as wide as asked, and outline =
// pieces + joints + gaps and openings. A few rooms a pattern are a matter of
// seconds; POTLIFE_RANDOM_ROOMS=1000 lays a thousand of each and takes minutes.
func TestEveryPatternAgainstSimplefeatures(t *testing.T) {
	checks(t, 4)
	for _, p := range everyPattern() {
		t.Run(p.name, func(t *testing.T) {
			rapid.Check(t, func(rt *rapid.T) {
				in := startAnywhere(rt, roomWith(drawSurface(rt), p))
				layouts, err := LayOut(in)
				if err != nil {
					rt.Fatal(err)
				}
				if len(layouts[0].Zones) == 0 {
					return // openings have taken all of it
				}
				againstReference(rt, in, layouts[0])
				identity(rt, layouts[0])
				apart(rt, layouts[0].Zones[0])
			})
		})
	}
}

// checks sets how many cases the property tests of this test draw: a few, or as
// many as POTLIFE_RANDOM_ROOMS says.
func checks(t *testing.T, few int) {
	t.Helper()
	n := strconv.Itoa(few)
	if s := os.Getenv("POTLIFE_RANDOM_ROOMS"); s != "" {
		n = s
	}
	f := flags.Lookup("rapid.checks")
	before := f.Value.String()
	if before != f.DefValue {
		return // asked for by hand
	}
	if err := f.Value.Set(n); err != nil {
		t.Fatalf("POTLIFE_RANDOM_ROOMS: %v", err)
	}
	t.Cleanup(func() { _ = f.Value.Set(before) })
}

// identity holds the areas against each other, to 1 mm²: what the outline has
// beyond the cover are gaps and openings, what the cover has beyond the pieces
// are joints, and nothing is counted twice.
func identity(t *rapid.T, l Layout) {
	z := l.Zones[0]
	if len(z.Pieces) == 0 {
		return
	}
	outline, cover := asGeom(t, l.Outline), asGeom(t, z.Cover...)
	var pieces []rooms.Polygon
	for _, p := range z.Pieces {
		pieces = append(pieces, p.Polygon)
	}
	laid := asGeom(t, pieces...)
	gaps, err := geom.Difference(outline, cover)
	if err != nil {
		t.Fatalf("reference: %v", err)
	}
	joints, err := geom.Difference(cover, laid)
	if err != nil {
		t.Fatalf("reference: %v", err)
	}
	if d := outline.Area() - gaps.Area() - joints.Area() - laid.Area(); d > 1 || d < -1 {
		t.Fatalf("outline %.2f mm², gaps and openings %.2f, joints %.2f, pieces %.2f: %.3f mm² left over", outline.Area(), gaps.Area(), joints.Area(), laid.Area(), d)
	}
}

// againstReference clips every tile near the cover with the reference library.
func againstReference(t *rapid.T, in RoomToLay, l Layout) {
	z := l.Zones[0]
	if len(z.Cover) == 0 {
		if len(z.Pieces) != 0 {
			t.Fatalf("%d pieces on no cover", len(z.Pieces))
		}
		return
	}
	cover := asGeom(t, z.Cover...)
	got := map[string]float64{}
	sum := 0.0
	for _, p := range z.Pieces {
		asGeom(t, p.Polygon)
		if math.Abs(p.Polygon.AreaMM2()-p.AreaMM2) > 0.05 { // turned tiles are rounded to 1/8 µm
			t.Fatalf("%s: area %.4f mm², its polygon has %.4f", p.ID, p.AreaMM2, p.Polygon.AreaMM2())
		}
		got[strings.TrimRight(p.ID, "abcdefghijklmnopqrstuvwxyz")] += p.AreaMM2
		sum += p.Polygon.AreaMM2() // as the reference has it: a turned whole tile counts with its own area, 0.03 mm² beside its rounded corners'
	}
	tiles, err := zoneTiles(in, z.Zone)
	if err != nil {
		t.Fatal(err)
	}
	pattern, err := PatternNamed(z.Zone.Pattern, in.Patterns)
	if err != nil {
		t.Fatal(err)
	}
	lay, err := pattern.build(tiles, z.Zone.Joint, false, 0)
	if err != nil {
		t.Fatal(err)
	}
	ref := newFiller(lay, z.Cover)
	ref.origin = z.Origin
	layer := &zoneLayer{key: "j/r/s/z", tiles: tiles, lay: lay, fill: ref, skipped: z.Skipped}
	box := rooms.BoxOf(z.Cover)
	whole := 0.0
	rows, cells := cellsOver(ref, box)
	for row := rows.from; row <= rows.to; row++ {
		for index := cells.from; index <= cells.to; index++ {
			for m := range lay.tiles {
				ring := ref.tileAt(row, m, index)
				if !ring.Box().Meets(box) {
					continue
				}
				x, err := geom.Intersection(asGeom(t, rooms.Polygon{Outer: ring}), cover)
				if err != nil {
					t.Fatalf("reference: %v", err)
				}
				id := layer.piece(row, m, index).ID
				whole += x.Area()
				// 1/8 µm along a piece's border, 0.4 µm where it counts as whole
				if d := x.Area() - got[id]; d > 0.2+narrowArea(x) || d < -0.5 {
					t.Fatalf("%s: %.4f mm², reference %.4f: %s", id, got[id], x.Area(), x.AsText())
				}
				delete(got, id)
			}
		}
	}
	if len(got) > 0 {
		t.Fatalf("pieces beyond the cover: %v", got)
	}
	if sum > whole+1 {
		t.Fatalf("pieces have %.3f mm², reference %.3f", sum, whole)
	}
}

// cellsOver are the rows and cells of the lattice that can reach into a box.
func cellsOver(f *filler, box rooms.Box) (rows, cells interval) {
	rows, cells = interval{1 << 30, -1 << 30}, interval{1 << 30, -1 << 30}
	for _, x := range []rooms.Length{box.Min.X, box.Max.X} {
		for _, y := range []rooms.Length{box.Min.Y, box.Max.Y} {
			a, b := f.toLattice(rooms.Point{X: x, Y: y})
			rows = interval{min(rows.from, int(b)-4), max(rows.to, int(b)+4)}
			cells = interval{min(cells.from, int(a)-4), max(cells.to, int(a)+4)}
		}
	}
	return rows, cells
}

// narrowArea is what of x is left to the gap: parts narrower than a millimetre.
func narrowArea(x geom.Geometry) float64 {
	sum := 0.0
	for _, g := range x.Dump() {
		if !g.IsPolygon() {
			continue
		}
		var r rooms.Ring
		seq := g.MustAsPolygon().ExteriorRing().Coordinates()
		for i := range seq.Length() - 1 {
			xy := seq.GetXY(i)
			r = append(r, rooms.Point{X: round(xy.X * 8000), Y: round(xy.Y * 8000)})
		}
		if narrow(r.Simplify()) { // without the needles that the reference may leave
			sum += g.Area()
		}
	}
	return sum
}

// apart checks every two pieces for the joint between them, to 1 µm.
func apart(t *rapid.T, z ZoneLayout) {
	for i, p := range z.Pieces {
		b := p.Polygon.Outer.Box()
		grow := z.Zone.Joint + 8
		b.Min.X, b.Min.Y, b.Max.X, b.Max.Y = b.Min.X-grow, b.Min.Y-grow, b.Max.X+grow, b.Max.Y+grow
		for _, q := range z.Pieces[i+1:] {
			if !b.Meets(q.Polygon.Outer.Box()) {
				continue
			}
			d, ok := geom.Distance(asGeom(t, p.Polygon), asGeom(t, q.Polygon))
			if ok && d < z.Zone.Joint.Millimetres()-0.001 {
				t.Fatalf("%s and %s lie %.4f mm apart, joint %s", p.ID, q.ID, d, z.Zone.Joint)
			}
		}
	}
}
