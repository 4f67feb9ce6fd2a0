package takeoff

import (
	"cmp"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"potlife/rooms"
)

// drawRun is a run with places for soft joints along it, in whole millimetres.
func drawRun(rt *rapid.T) (longRun, []rooms.Length) {
	mm := func(name string, least, most int) rooms.Length {
		return rooms.Length(rapid.IntRange(least, most).Draw(rt, name)) * lmm
	}
	r := longRun{low: mm("low", -200, 200), limit: mm("limit", 100, 900)}
	r.high = r.low + r.limit + mm("beyond", 1, 2000)
	var list []rooms.Length
	for at := r.low; ; {
		if at += mm("apart", 40, 400); at >= r.high || len(list) == 14 {
			return r, list
		}
		list = append(list, at)
	}
}

// squaresOf are the fields' squares in mm²; false where one is longer than the limit.
func (r *longRun) squaresOf(at []rooms.Length) (sum int64, ok bool) {
	from := r.low
	for _, to := range append(slices.Clone(at), r.high) {
		if to-from > r.limit || to <= from {
			return 0, false
		}
		mm := int64((to - from) / lmm)
		sum, from = sum+mm*mm, to
	}
	return sum, true
}

// TestFewestSoftJointsAtJoints holds the division of a run at joints of the pattern to
// every choice among them: none with fewer keeps the limit, and of those with as many
// none has fields more nearly equal.
func TestFewestSoftJointsAtJoints(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r, list := drawRun(rt)
		fewest, least := -1, int64(0)
		for set := range 1 << len(list) {
			var at []rooms.Length
			for i := range list {
				if set>>i&1 == 1 {
					at = append(at, list[i])
				}
			}
			if sq, ok := r.squaresOf(at); ok && (fewest < 0 || cmp.Or(cmp.Compare(len(at), fewest), cmp.Compare(sq, least)) < 0) {
				fewest, least = len(at), sq
			}
		}
		got, ok := r.fewestOf(list)
		if ok != (fewest >= 0) {
			rt.Fatalf("%+v at %v: found %v, %d joints do", r, list, ok, fewest)
		}
		if !ok {
			return
		}
		if sq, keeps := r.squaresOf(got); !keeps || len(got) != fewest || sq != least {
			rt.Fatalf("%+v at %v: %v (%d mm²), want %d joints with %d mm²", r, list, got, sq, fewest, least)
		}
	})
}

// TestSoftJointsHarmLeast holds the choice among places that harm pieces to every choice.
func TestSoftJointsHarmLeast(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r, list := drawRun(rt)
		n := min(r.fewest(), 4)
		layers := make([][]softPlace, n-1)
		for k := range layers {
			for _, at := range list {
				layers[k] = append(layers[k], softPlace{at, softHarm{rapid.IntRange(0, 2).Draw(rt, "narrow"), 0, rapid.IntRange(0, 2).Draw(rt, "half")}})
			}
		}
		var best *softStep
		var try func(k int, at []rooms.Length, h softHarm)
		try = func(k int, at []rooms.Length, h softHarm) {
			if k == len(layers) {
				if sq, ok := r.squaresOf(at); ok {
					if s := (softStep{harm: h, squares: sq}); best == nil || s.compare(best) < 0 {
						best = &s
					}
				}
				return
			}
			for _, p := range layers[k] {
				try(k+1, append(slices.Clone(at), p.at), h.add(p.harm))
			}
		}
		try(0, nil, softHarm{})
		got, ok := r.chain(layers)
		if ok != (best != nil) {
			rt.Fatalf("%+v, %v: found %v, want %v", r, layers, ok, best)
		}
		if !ok {
			return
		}
		var h softHarm
		for k, at := range got {
			i := slices.IndexFunc(layers[k], func(p softPlace) bool { return p.at == at })
			h = h.add(layers[k][i].harm)
		}
		if sq, keeps := r.squaresOf(got); !keeps || h != best.harm || sq != best.squares {
			rt.Fatalf("%+v, %v: %v harms %v with %d mm², want %+v", r, layers, got, h, sq, best)
		}
	})
}

// besideJoints sums up a layout's cut pieces: how many are too narrow, and how many mm
// those under a third of their tile lack it, all together.
func besideJoints(l Layout, tiles map[string]Tile) (narrow int, lack rooms.Length) {
	for _, z := range l.Zones {
		for _, p := range z.Pieces {
			if p.Full {
				continue
			}
			tile := tiles[p.Tile]
			w, h := narrowSide(p.Polygon.Outer), narrowSide(p.Polygon.Outer)
			full, high := narrowSide(tile.Shape), narrowSide(tile.Shape)
			if by := turnBy(int(p.Degrees)); by.square() {
				b := by.back().ring(p.Polygon.Outer).Box()
				w, h, full, high = b.Width(), b.Height(), tile.Shape.Box().Width(), tile.Shape.Box().Height()
			}
			if min(w, h) < absoluteFloor(tile) {
				narrow++
			}
			lack += max(full/3-w, high/3-h, 0)
		}
	}
	return narrow, lack
}

// TestSoftJointLeavesTheBestPieces lays walls of every pattern with a window, a little
// longer than two fields, across and up: the soft joint lies in a joint of the pattern
// and changes no piece; or where it cuts through the tiles nowhere within half a period beside
// the middle are fewer pieces too narrow or do those under a third lack less, but for the
// millimetre to which each piece is told. It tries every 4 mm.
func TestSoftJointLeavesTheBestPieces(t *testing.T) {
	through := 0
	for _, p := range everyPattern() {
		for _, upright := range []bool{false, true} {
			w, h := 4110*lmm, 1500*lmm
			window := rooms.Rect(1900*lmm, 400*lmm, 2350*lmm, 900*lmm)
			if upright {
				w, h, window = h, w, rooms.Rect(500*lmm, 1700*lmm, 1000*lmm, 2000*lmm)
			}
			in := roomWith(rooms.Surface{Key: "s", Kind: rooms.Wall, Measured: true, MovementLimit: 2300 * lmm, Outline: rooms.Rect(0, 0, w, h),
				Openings: []rooms.Opening{{Key: "window", Outline: window, Gap: 3 * lmm}}}, p)
			l := lay(t, in)
			if err := CheckLayout(l, in.Tiles); err != nil {
				t.Errorf("%s: %v", p.name, err)
			}
			if n := len(l.Zones[0].Movement); n != 1 {
				t.Errorf("%s: %d soft joints", p.name, n)
				continue
			}
			j := l.Zones[0].Movement[0]
			at := func(d rooms.Length, width rooms.Length) Layout {
				x := in
				x.Locks = map[string]Lock{"j/r/s/z": {Origin: l.Zones[0].Origin}}
				x.Room.Surfaces = slices.Clone(in.Room.Surfaces)
				s := &x.Room.Surfaces[0]
				s.MovementLimit = 10 * rooms.Metre
				if width > 0 {
					a := softAt(upright, d, rooms.Rect(-lmm, -lmm, w+lmm, h+lmm).Box(), width, true)
					s.SoftJoints = []rooms.SoftJoint{{A: a.A, B: a.B, Width: width}}
				}
				return lay(t, x)
			}
			if !j.Through {
				if without := at(0, 0); len(without.Zones[0].Pieces) != len(l.Zones[0].Pieces) {
					t.Errorf("%s: a soft joint in a joint leaves %d pieces, %d without", p.name, len(l.Zones[0].Pieces), len(without.Zones[0].Pieces))
				}
				continue
			}
			through++
			narrow, lack := besideJoints(l, in.Tiles)
			even := max(w, h) / 2
			for d := even - 140*lmm; d <= even+140*lmm; d += 4 * lmm {
				n, la := besideJoints(at(d, j.Width), in.Tiles)
				if n < narrow || n == narrow && la+20*lmm < lack {
					t.Errorf("%s, upright %v: the soft joint lies at %s/%s with %d too narrow and %s lacking; at %s they are %d and %s", p.name, upright, j.A.X, j.A.Y, narrow, lack, d, n, la)
					break
				}
			}
		}
	}
	if through < 12 {
		t.Errorf("only %d walls are cut through", through)
	}
}

// TestSoftJointsEndWithTheirPart lays walls of every pattern that a shelf parts into a strip
// below and beside it, one course high, and the field within: the soft joint of the strip
// ends with it and cuts nothing of the field, whose own lies elsewhere.
func TestSoftJointsEndWithTheirPart(t *testing.T) {
	at := func(x, y int) rooms.Point { return rooms.Point{X: rooms.Length(x) * lmm, Y: rooms.Length(y) * lmm} }
	shelf := rooms.Ring{at(600, 1500), at(600, 150), at(4100, 150), at(4100, 170), at(620, 170), at(620, 1500)}
	for _, p := range everyPattern() {
		in := roomWith(rooms.Surface{Key: "s", Kind: rooms.Wall, Measured: true, MovementLimit: 2300 * lmm, Outline: rooms.Rect(0, 0, 4100*lmm, 1500*lmm),
			Openings: []rooms.Opening{{Key: "shelf", Outline: shelf, Gap: 3 * lmm}}}, p)
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Errorf("%s: %v", p.name, err)
		}
		list := l.Zones[0].Movement
		if len(list) != 2 || list[0].A.Y != 0 || list[0].B.Y != 147*lmm || list[1].A.Y != 173*lmm || list[1].B.Y != 1500*lmm {
			t.Errorf("%s: %v", p.name, list)
		}
	}
}

// TestSoftJointsOfStepsAndSlopes: where the room is lower or leans a soft joint ends there,
// and the grout left out for one in a joint of the pattern is what lies in the room.
func TestSoftJointsOfStepsAndSlopes(t *testing.T) {
	at := func(x, y int) rooms.Point { return rooms.Point{X: rooms.Length(x) * lmm, Y: rooms.Length(y) * lmm} }
	for _, c := range []struct {
		name    string
		outline rooms.Ring
		low     rooms.Length // the ends of the one soft joint
		high    func(x rooms.Length) rooms.Length
	}{
		{"square", rooms.Ring{at(0, 0), at(4000, 0), at(4000, 1800), at(0, 1800)}, 0, func(rooms.Length) rooms.Length { return 1800 * lmm }},
		{"step", rooms.Ring{at(0, 0), at(4000, 0), at(4000, 600), at(500, 600), at(500, 1800), at(0, 1800)}, 0, func(rooms.Length) rooms.Length { return 600 * lmm }},
		{"step below", rooms.Ring{at(0, 0), at(500, 0), at(500, 1200), at(4000, 1200), at(4000, 1800), at(0, 1800)}, 1200 * lmm, func(rooms.Length) rooms.Length { return 1800 * lmm }},
		{"slope", rooms.Ring{at(0, 0), at(4000, 0), at(4000, 1000), at(0, 1800)}, 0, func(x rooms.Length) rooms.Length { return 1800*lmm - x/5 }},
	} {
		for _, name := range []string{"straight", "offset 1/2"} {
			in := roomWith(rooms.Surface{Key: "s", Kind: rooms.Wall, Measured: true, MovementLimit: 2300 * lmm, Outline: c.outline}, patternCase{name, 3 * lmm, []Tile{box("a", 297*lmm, 147*lmm)}})
			l := lay(t, in)
			if err := CheckLayout(l, in.Tiles); err != nil {
				t.Errorf("%s, %s: %v", c.name, name, err)
			}
			list := l.Zones[0].Movement
			if len(list) != 1 {
				t.Errorf("%s, %s: %v", c.name, name, list)
				continue
			}
			j := list[0]
			if want := c.high(j.A.X); j.A.Y != c.low || absLen(j.B.Y-want) > lmm {
				t.Errorf("%s, %s: from %s to %s at %s, want %s to %s", c.name, name, j.A.Y, j.B.Y, j.A.X, c.low, want)
			}
		}
	}
}
