package takeoff

import (
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// A change of tile drawn 12.5 mm before the wall leaves 6 mm beside it less the gap: a
// joint of the herringbone that runs along it would leave nothing of the strip. It is
// taken off the cover, whatever the pattern, and a finding says so; a strip of 10 mm
// stays, and is warned of.
func TestStripTooThinForTile(t *testing.T) {
	for _, p := range smallPatterns() {
		for _, c := range []struct {
			off  rooms.Length // of the line from the wall
			bare bool
		}{{11 * lmm, true}, {11*lmm + 400*rooms.Micrometre, true}, {20 * lmm, false}} {
			in := roomWith(rooms.Surface{Key: "s", Kind: rooms.Floor, Outline: rooms.Rect(0, 0, 900*lmm, 700*lmm), Measured: true}, p)
			s := &in.Room.Surfaces[0]
			for range 4 {
				s.Edges = append(s.Edges, rooms.Edge{Meets: rooms.InsideCorner, Gap: 5 * lmm, GapMin: 3 * lmm, GapMax: 8 * lmm})
			}
			in.Tiles["f"] = box("f", 197*lmm, 197*lmm)
			s.Zones = append(s.Zones, rooms.Zone{Key: "f", Tile: "f", Pattern: "straight", Joint: 3 * lmm, Region: rooms.Rect(0, 0, 900*lmm-c.off, 700*lmm)})
			l := lay(t, in)
			if err := CheckLayout(l, in.Tiles); err != nil {
				t.Errorf("%s, %s off the wall: %v", p.name, c.off, err)
			}
			said := slices.ContainsFunc(l.Findings, func(f Finding) bool { return f.Rule == "bare strip" && f.Where == "j/r/s/z" })
			laid := slices.ContainsFunc(l.Zones, func(z ZoneLayout) bool { return z.Zone.Key == "z" && len(z.Pieces) > 0 })
			if said != c.bare || laid == c.bare {
				t.Errorf("%s, %s off the wall: bare strip said %v, tile laid %v", p.name, c.off, said, laid)
			}
		}
	}
}

// The end of a zone that tapers to nothing is tiled as far as it is wide enough, and
// the neck beside a pipe at the wall becomes a notch; nothing else of the cover changes.
func TestThinPartsOfACover(t *testing.T) {
	wide := 5 * lmm
	taper := rooms.Polygon{Outer: rooms.Ring{{X: 0, Y: 0}, {X: 500 * lmm, Y: 0}, {X: 500 * lmm, Y: 50 * lmm}}}
	thin, err := thinParts(taper, wide)
	if err != nil || len(thin) != 1 {
		t.Fatalf("%d parts, %v", len(thin), err)
	}
	if b := thin[0].Outer.Box(); b.Min.X != 0 || b.Max.X < 40*lmm || b.Max.X > 50*lmm {
		t.Errorf("of a taper of 1 in 10 the thin part runs from %s to %s", b.Min.X, b.Max.X)
	}
	neck := rooms.Polygon{Outer: rooms.Rect(0, 0, 500*lmm, 400*lmm), Holes: []rooms.Ring{rooms.Circle(rooms.Point{X: 200 * lmm, Y: 23 * lmm}, 20*lmm, lmm/10).Reversed()}}
	if thin, err = thinParts(neck, wide); err != nil || len(thin) != 1 {
		t.Fatalf("%d parts, %v", len(thin), err)
	}
	left, err := rooms.Subtract([]rooms.Polygon{neck}, thin)
	if err != nil || len(left) != 1 || len(left[0].Holes) != 0 {
		t.Errorf("a hole 3 mm off the edge stays one: %v, %v", left, err)
	}
	for _, p := range []rooms.Polygon{
		{Outer: rooms.LFloor(500*lmm, 400*lmm, 100*lmm, 300*lmm)},
		{Outer: rooms.Rect(0, 0, 500*lmm, 5200*rooms.Micrometre)},
		{Outer: rooms.Ring{{X: 0, Y: 0}, {X: 500 * lmm, Y: 0}, {X: 500 * lmm, Y: 400 * lmm}, {X: 250*lmm + lmm/2, Y: 400 * lmm}, {X: 250*lmm + lmm/2, Y: 403 * lmm}, {X: 250 * lmm, Y: 403 * lmm}, {X: 250 * lmm, Y: 400 * lmm}, {X: 0, Y: 400 * lmm}}}, // less than a sliver is not worth a word
		{Outer: rooms.Rect(0, 0, 500*lmm, 400*lmm), Holes: []rooms.Ring{rooms.Circle(rooms.Point{X: 200 * lmm, Y: 30 * lmm}, 20*lmm, lmm/10).Reversed()}},
	} {
		if thin, err := thinParts(p, wide); err != nil || len(thin) > 0 {
			t.Errorf("%v: %v is too thin, %v", p, thin, err)
		}
	}
}

// An octagon's dots leave wider joints at their sides than between the octagons.
func TestWidestJoint(t *testing.T) {
	for _, p := range everyPattern() {
		pattern, err := PatternNamed(p.name, nil)
		if err != nil {
			t.Fatal(err)
		}
		l, err := pattern.build(p.tiles, p.joint, false, 0)
		if err != nil {
			t.Fatal(err)
		}
		got, most := l.widestJoint(), p.joint+lmm/100
		if strings.HasPrefix(p.name, "octagon") {
			most = 5 * lmm
			if got < 3*lmm+lmm/2 {
				t.Errorf("%s: the widest joint is %s", p.name, got)
			}
		}
		if got < p.joint || got > most {
			t.Errorf("%s: the widest joint is %s", p.name, got)
		}
	}
}

// A piece that is cut on both sides and as good as whole takes what its size has beyond
// its drawing where the tile still has something: off the first trim, not beyond the
// tile's edge.
func TestSizeBeyondTheTilesEdge(t *testing.T) {
	tile := box("t", 97*lmm, 47*lmm)
	p := Piece{Tile: "t", Polygon: rooms.Polygon{Outer: rooms.Rect(4*lmm, 0, 96*lmm+6400, 47*lmm)}, Cuts: []Cut{
		{Side: "shape", Shape: "trim the left edge first"},
		{Side: "right", Sized: true, Drawn: 92*lmm + 6400, Size: 95 * lmm, Least: 88 * lmm, Most: 96 * lmm}}}
	if got, want := StockShape(p, tile).Outer.Box(), rooms.Rect(2*lmm, 0, 97*lmm, 47*lmm).Box(); got != want {
		t.Errorf("the piece lies at %v, want %v", got, want)
	}
	p.Cuts[1].Size = 90 * lmm
	if got, want := StockShape(p, tile).Outer.Box(), rooms.Rect(4*lmm, 0, 94*lmm, 47*lmm).Box(); got != want {
		t.Errorf("the piece lies at %v, want %v", got, want)
	}
}
