package takeoff

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// fallingFloor is a shower floor of 900 × 1200 mm in tiles of 197 mm.
func fallingFloor(falls *rooms.Falls) RoomToLay {
	in := wall(900*lmm, 1200*lmm, box("t", 197*lmm, 197*lmm), rooms.Zone{})
	in.Room.Surfaces[0].Kind, in.Room.Surfaces[0].Falls = rooms.ShowerFloor, falls
	return in
}

// TestFoldsAreJoints: cut along the folds, every plane is a zone of its own, no
// piece lies across a fold, and together they cover the floor but for gaps and
// the joints in the folds.
func TestFoldsAreJoints(t *testing.T) {
	for name, c := range map[string]struct {
		falls rooms.Falls
		zones int
		folds float64 // their length in mm
	}{
		"to a point": {rooms.Falls{Kind: rooms.ToPoint, A: rooms.Point{X: 450 * lmm, Y: 600 * lmm}}, 4, 4 * 750},
		"to a line":  {rooms.Falls{Kind: rooms.ToLine, A: rooms.Point{X: 450 * lmm, Y: 300 * lmm}, B: rooms.Point{X: 450 * lmm, Y: 900 * lmm}}, 4, 4*540.8 + 600},
		"two planes": {rooms.Falls{Kind: rooms.TwoFalls, A: rooms.Point{X: 450 * lmm}, B: rooms.Point{X: 450 * lmm, Y: 1200 * lmm}}, 2, 1200},
		"one plane":  {rooms.Falls{Kind: rooms.OneFall}, 1, 0},
	} {
		c.falls.Cut = true
		in := fallingFloor(&c.falls)
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if len(l.Zones) != c.zones {
			t.Errorf("%s: %d zones, want %d", name, len(l.Zones), c.zones)
		}
		covered := 0.0
		for _, z := range l.Zones {
			for _, p := range z.Cover {
				covered += p.AreaMM2()
			}
		}
		// 5 mm of gap all round; a joint of 3 mm along every fold.
		if d := 890*1190 - covered - 3*c.folds; d > 120 || d < -120 {
			t.Errorf("%s: covered %.0f mm², %.0f mm² from what gaps and folds leave", name, covered, d)
		}
		for _, f := range l.Findings {
			if f.Rule == "tile on a fall" {
				t.Errorf("%s: %s", name, f.Message)
			}
		}
	}
}

// TestJointsMeetInTheFolds: along every fold each joint of a plane goes on in the
// next. Only polygons are looked at: a side of a piece that its tile has beyond
// the fold too must have a side of a piece there on its line, no further across
// than the joint in the fold.
func TestJointsMeetInTheFolds(t *testing.T) {
	point := rooms.Falls{Kind: rooms.ToPoint, A: rooms.Point{X: 450 * lmm, Y: 500 * lmm}, Cut: true}
	line := rooms.Falls{Kind: rooms.ToLine, A: rooms.Point{X: 450 * lmm, Y: 300 * lmm}, B: rooms.Point{X: 450 * lmm, Y: 900 * lmm}, Cut: true}
	two := rooms.Falls{Kind: rooms.TwoFalls, A: rooms.Point{X: 400 * lmm}, B: rooms.Point{X: 500 * lmm, Y: 1200 * lmm}, Cut: true}
	for name, c := range map[string]struct {
		falls   rooms.Falls
		pattern string
		turn    int
		datum   rooms.Datum
		least   int // sides that must go on
	}{
		"to a point":           {point, "straight", 0, rooms.Datum{}, 60},
		"to a point, offset":   {point, "offset 1/2", 0, rooms.Datum{}, 40},
		"to a point, at 45°":   {point, "straight", 45, rooms.Datum{}, 20},
		"to a point, woven":    {point, "herringbone", 0, rooms.Datum{}, 20},
		"to a line":            {line, "straight", 0, rooms.Datum{}, 60},
		"two planes":           {two, "straight", 0, rooms.Datum{}, 20},
		"full tiles at a wall": {point, "straight", 0, rooms.Datum{Across: rooms.FullLeft, Up: rooms.FullHigh}, 60},
	} {
		in := fallingFloor(&c.falls)
		in.Tiles["t"] = box("t", 97*lmm, 97*lmm)
		if c.pattern == "herringbone" {
			in.Tiles["t"] = box("t", 197*lmm, 97*lmm)
		}
		s := &in.Room.Surfaces[0]
		s.Openings = []rooms.Opening{{Key: "drain", Kind: "drain", Outline: rooms.Circle(rooms.Point{X: 450 * lmm, Y: 500 * lmm}, 55*lmm, lmm/10), Gap: 2 * lmm, GapMax: 4 * lmm}}
		z := &s.Zones[0]
		z.Pattern, z.Turn, z.Datum = c.pattern, c.turn, c.datum
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if n := joinedSides(t, name, l, in.Tiles, z.Joint); n < c.least {
			t.Errorf("%s: %d sides go on across a fold, want %d at least", name, n, c.least)
		}
	}
}

// joinedSides counts the sides that go on across a fold, and fails for each that
// does not.
func joinedSides(t *testing.T, name string, l Layout, tiles map[string]Tile, joint rooms.Length) (n int) {
	t.Helper()
	for i, a := range l.Zones {
		for k, b := range l.Zones {
			if i == k {
				continue
			}
			for _, p := range a.Pieces {
				for _, side := range sidesOf(p, tiles[p.Tile]) {
					far := side[2] // where the tile's side ends
					past := rooms.Point{X: side[1].X + (far.X-side[1].X)/2, Y: side[1].Y + (far.Y-side[1].Y)/2}
					if rooms.Distance(side[1], far) < 20*lmm || !covers(b, past) || !covers(b, far) {
						continue // cut off by a wall or the drain, or hardly at all
					}
					n++
					if off := nearestSide(b, tiles, side[0], side[1], past); off > joint {
						t.Errorf("%s: a side of %s runs on past (%s, %s), and the nearest side of %s lies %s beside it", name, p.ID, side[1].X, side[1].Y, b.Zone.Key, off)
					}
				}
			}
		}
	}
	return n
}

// sidesOf lists the parts of the tile's sides that a piece keeps: from a corner of
// the tile to where it is cut, and the corner at which the tile's side ends.
func sidesOf(p Piece, tile Tile) (list [][3]rooms.Point) {
	by := turnBy(int(p.Degrees))
	for k, a := range tile.Shape {
		b := tile.Shape[(k+1)%len(tile.Shape)]
		for _, ends := range [2][2]rooms.Point{{a, b}, {b, a}} {
			from, to := by.apply(ends[0]), by.apply(ends[1])
			from, to = rooms.Point{X: from.X + p.Place.X, Y: from.Y + p.Place.Y}, rooms.Point{X: to.X + p.Place.X, Y: to.Y + p.Place.Y}
			var reach rooms.Length
			at, begins := from, false
			for _, q := range p.Polygon.Outer {
				if pointToSegment(q, from, to) > 4*rooms.Micrometre {
					continue
				}
				d := rooms.Distance(from, q)
				begins = begins || d <= 4*rooms.Micrometre
				if d > reach {
					reach, at = d, q
				}
			}
			if begins && reach > 20*lmm && rooms.Distance(at, to) > 4*rooms.Micrometre {
				list = append(list, [3]rooms.Point{from, at, to})
			}
		}
	}
	return list
}

// covers reports whether a point is tile's ground in a zone.
func covers(z ZoneLayout, p rooms.Point) bool {
	for _, c := range z.Cover {
		if c.Place(p) == rooms.Inside {
			return true
		}
	}
	return false
}

// nearestSide is how far the line a–b lies from the nearest side, of the pieces
// next to a point, that runs as it does.
func nearestSide(z ZoneLayout, tiles map[string]Tile, a, b, near rooms.Point) rooms.Length {
	best := rooms.Length(1 << 40)
	for _, p := range z.Pieces {
		r := p.Polygon.Outer
		for i, q := range r {
			u := r[(i+1)%len(r)]
			if rooms.Distance(q, u) < 5*lmm || pointToSegment(near, q, u) > 6*lmm {
				continue
			}
			if d, e := absLen(leftOf(a, b, q)), absLen(leftOf(a, b, u)); absLen(d-e) < 10*rooms.Micrometre {
				best = min(best, d)
			}
		}
	}
	return best
}

// TestFoldKeepsItsJoint: where a fold runs in a joint of the pattern, or a little
// beside it so that a tile stays whole, the pieces on both sides keep 3 mm.
func TestFoldKeepsItsJoint(t *testing.T) {
	for _, beside := range []rooms.Length{0, lmm / 4, lmm / 2, -lmm / 3, 2 * lmm} {
		at := 498*lmm + lmm/2 + beside
		in := fallingFloor(&rooms.Falls{Kind: rooms.TwoFalls, A: rooms.Point{X: at}, B: rooms.Point{X: at, Y: 1200 * lmm}, Cut: true})
		in.Tiles["t"] = box("t", 97*lmm, 97*lmm)
		in.Room.Surfaces[0].Zones[0].Datum = rooms.Datum{Across: rooms.At, Up: rooms.At}
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Errorf("%s beside a joint: %v", beside, err)
		}
		for _, p := range l.Zones[0].Pieces {
			for _, q := range l.Zones[1].Pieces {
				if d := polygonDistance(p.Polygon, q.Polygon); d < 3*lmm-checkLine {
					t.Fatalf("%s beside a joint: %s and %s lie %s apart over the fold", beside, p.ID, q.ID, d)
				}
			}
		}
	}
}

// TestPlanesShareAnOrigin: it is one place in plan for all planes of a zone, the
// numbers run through, a plane of which pieces are issued keeps its place and the
// others take it.
func TestPlanesShareAnOrigin(t *testing.T) {
	falls := &rooms.Falls{Kind: rooms.ToPoint, A: rooms.Point{X: 450 * lmm, Y: 600 * lmm}, Cut: true}
	in := fallingFloor(falls)
	l := lay(t, in)
	least := 1 << 20
	for _, z := range l.Zones {
		if z.Origin != l.Zones[0].Origin || !strings.HasPrefix(z.Why, "one place for 4 planes") {
			t.Errorf("%s begins at %v (%s), %s at %v", z.Zone.Key, z.Origin, z.Why, l.Zones[0].Zone.Key, l.Zones[0].Origin)
		}
		for _, p := range z.Pieces {
			least = min(least, p.Course, p.Position)
		}
	}
	if least != 1 {
		t.Errorf("numbers begin at %d, want 1", least)
	}
	onePairOfLines(t, l)
	if err := CheckLayout(l, in.Tiles); err != nil {
		t.Error(err)
	}
	lock := rooms.Point{X: 33 * lmm, Y: 44 * lmm}
	in.Locks = map[string]Lock{l.Zones[2].Pieces[0].ID[:strings.LastIndex(l.Zones[2].Pieces[0].ID, "/")]: {Origin: lock}}
	for _, z := range lay(t, in).Zones {
		if z.Origin != lock {
			t.Errorf("%s begins at %v where another plane is issued from %v", z.Zone.Key, z.Origin, lock)
		}
	}
}

// onePairOfLines: all planes are set from one level and one plumb line, which cross at
// the corner of a tile that is whole but for the fold, as near to the floor's middle as any.
func onePairOfLines(t *testing.T, l Layout) {
	t.Helper()
	box := l.Outline.Outer.Box()
	middle := rooms.Point{X: (box.Min.X + box.Max.X) / 2, Y: (box.Min.Y + box.Max.Y) / 2}
	nearest, at := rooms.Length(1<<62), rooms.Length(1<<62)
	for _, z := range l.Zones {
		if z.LevelLine != l.Zones[0].LevelLine || z.Plumb != l.Zones[0].Plumb {
			t.Errorf("%s is set from %s and %s, %s from %s and %s", z.Zone.Key, z.LevelLine, z.Plumb, l.Zones[0].Zone.Key, l.Zones[0].LevelLine, l.Zones[0].Plumb)
		}
		for _, p := range z.Pieces {
			b := p.Polygon.Outer.Box()
			if q := z.Lattice.Tiles[0].Shape.Box(); b.Width() != q.Width() || b.Height() != q.Height() {
				continue
			}
			q := b.Min
			d := rooms.Distance(q, middle)
			if nearest = min(nearest, d); q.Y == z.LevelLine && q.X == z.Plumb {
				at = d
			}
		}
	}
	if at > nearest+sameMiddle {
		t.Errorf("the lines cross %s from the middle, a whole tile's corner lies %s from it", at, nearest)
	}
}

// TestFallFindings: what of the falls is remarked on (FACTS.md 8.9 for slopes;
// about 100 mm for tile that turns a fold is common practice).
func TestFallFindings(t *testing.T) {
	point := rooms.Point{X: 450 * lmm, Y: 600 * lmm}
	for _, c := range []struct {
		name   string
		falls  *rooms.Falls
		tile   rooms.Length
		rule   string
		within string
	}{
		{"nothing said", nil, 197, "tile on a fall", "four-way"},
		{"nothing said, small tile", nil, 97, "", ""},
		{"to a point", &rooms.Falls{Kind: rooms.ToPoint, A: point}, 197, "tile on a fall", "four-way"},
		{"to a point, small tile", &rooms.Falls{Kind: rooms.ToPoint, A: point}, 97, "", ""},
		{"two planes", &rooms.Falls{Kind: rooms.TwoFalls, A: point, B: rooms.Point{X: 450 * lmm}}, 197, "tile on a fall", "fold of two"},
		{"one plane", &rooms.Falls{Kind: rooms.OneFall}, 197, "", ""},
		{"too flat", &rooms.Falls{Kind: rooms.OneFall, PerMille: 15}, 197, "slope", "1.5 %"},
		{"too steep", &rooms.Falls{Kind: rooms.OneFall, PerMille: 60}, 197, "slope", "6.0 %"},
		{"as it should", &rooms.Falls{Kind: rooms.OneFall, PerMille: 21}, 197, "", ""},
	} {
		in := fallingFloor(c.falls)
		in.Tiles["t"] = box("t", c.tile*lmm, c.tile*lmm)
		got := ""
		for _, f := range lay(t, in).Findings {
			if f.Rule == "tile on a fall" || f.Rule == "slope" {
				got += f.Rule
				if !strings.Contains(f.Message, c.within) {
					t.Errorf("%s: %s", c.name, f.Message)
				}
			}
		}
		if got != c.rule {
			t.Errorf("%s: found %q, want %q", c.name, got, c.rule)
		}
	}
}
