package takeoff

import (
	"maps"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"potlife/rooms"
)

// drawAxis is a straight or an offset pattern between a few edges, in units.
func drawAxis(rt *rapid.T) axis {
	unit := func(name string, least, most int) rooms.Length {
		return rooms.Length(rapid.IntRange(least, most).Draw(rt, name))
	}
	a := axis{size: unit("size", 20, 300), joint: unit("joint", 0, 9), pitch: 50, floor: unit("floor", 1, 15), unit: unit("unit", 1, 10)}
	a.shifts = []rooms.Length{0}
	for range rapid.IntRange(0, 2).Draw(rt, "other courses") {
		a.shifts = append(a.shifts, unit("shift", 1, int(a.size)))
	}
	for range rapid.IntRange(1, 6).Draw(rt, "edges") {
		from := unit("from", 0, 40)
		long := unit("long", 1, 40)
		a.edges = append(a.edges, axisEdge{at: unit("at", 0, 900), near: rapid.Bool().Draw(rt, "near"), long: long, over: between(from, from+long), slack: unit("slack", 0, 5)})
	}
	a.sortEdges()
	return a
}

// TestFacing finds the edges that face each other on every line across them, one by
// one: the next far edge after each near one unless another near one lies between.
func TestFacing(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a := drawAxis(rt)
		want := map[[2]int]rooms.Length{}
		for y := rooms.Length(0); y < 80; y++ {
			on := func(k int) bool {
				e := &a.edges[k]
				for _, o := range e.over {
					if o.from <= y && y+1 <= o.to {
						return true
					}
				}
				return false
			}
			before := func(i, k int) bool { // i is met before k
				d, e := &a.edges[i], &a.edges[k]
				return d.at < e.at || d.at == e.at && (!d.near && e.near || d.near == e.near && i < k)
			}
			next := func(k int, after bool) int { // the one met next, or before
				best := -1
				for i := range a.edges {
					if i != k && on(i) && before(k, i) == after && (best < 0 || before(i, best) == after) {
						best = i
					}
				}
				return best
			}
			for k := range a.edges {
				if !on(k) {
					continue
				}
				if a.edges[k].near {
					if f := next(k, true); f < 0 || a.edges[f].near {
						want[[2]int{k, -1}]++
					}
				} else if n := next(k, false); n >= 0 && a.edges[n].near {
					want[[2]int{n, k}]++
				} else {
					want[[2]int{-1, k}]++
				}
			}
		}
		got := map[[2]int]rooms.Length{}
		for _, x := range a.facing() {
			got[[2]int{x.near, x.far}] += x.long
		}
		if !maps.Equal(got, want) {
			rt.Fatalf("%+v: %v face each other, want %v", a.edges, got, want)
		}
	})
}

// TestSpanIsJudgedByItself: what a span is judged against is a third, or, where no unit
// of the pitch leaves that at all courses, a grain less than the widest least cut there is.
func TestSpanIsJudgedByItself(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a := drawAxis(rt)
		a.judgeSpans()
		for _, x := range a.spans {
			width := rooms.Length(1 << 40)
			if x.near >= 0 && x.far >= 0 {
				width = a.edges[x.far].at - a.edges[x.near].at
			}
			fewest, widest := 1<<30, rooms.Length(0)
			for o := rooms.Length(0); o < a.size+a.joint; o++ {
				bad, least := 0, a.size
				for _, k := range [2]int{x.near, x.far} {
					for _, s := range a.shifts {
						if k < 0 {
							continue
						}
						c, wide := a.cut(a.edges[k], o+s)
						c = min(c, width)
						if least = min(least, c); c < a.floor || wide > a.edges[k].slack {
							bad += int((a.edges[k].long + a.pitch - 1) / a.pitch)
						}
					}
				}
				if bad < fewest {
					fewest, widest = bad, 0
				}
				if bad == fewest {
					widest = max(widest, least)
				}
			}
			third := (a.size + 2) / 3
			if want := max(min(third, widest-a.unit), 1); x.limit != want && (3*widest < a.size || x.limit != third) {
				rt.Fatalf("%+v: %+v is judged against %d, want %d (a third is %d)", a, x, x.limit, want, third)
			}
		}
	})
}

// TestBestOfSpansAgainstEveryUnit tries every unit of the pitch on axes whose edges lie
// beside and above each other, and finds none better.
func TestBestOfSpansAgainstEveryUnit(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a := drawAxis(rt)
		got := a.best()[0]
		for o := rooms.Length(0); o < a.size+a.joint; o++ {
			if r := a.rank(o); r.compare(got.rank) < 0 {
				rt.Fatalf("%+v: offset %d ranks %v, best found %d with %v", a, o, r, got.o, got.rank)
			}
		}
	})
}

// TestStraightUnderAWindow: tile of 607 × 334 on a wall with a step and a window that
// ends 60 below its top. The strip over the window is narrower than a third whatever is done, and so does
// not decide: below and above lie nearly whole tiles, where the strip had cost them half.
// Beside a window of which both sides leave a third, no sliver is left over it for the
// sake of two halves.
func TestStraightUnderAWindow(t *testing.T) {
	in := wall(3519*lmm, 1304*lmm, box("t", 607*lmm, 334*lmm), rooms.Zone{})
	s := &in.Room.Surfaces[0]
	s.Outline = rooms.Ring{{}, {X: 3519 * lmm}, {X: 3519 * lmm, Y: 919 * lmm}, {X: 3292 * lmm, Y: 919 * lmm}, {X: 3292 * lmm, Y: 1304 * lmm}, {Y: 1304 * lmm}}
	s.Edges = append(s.Edges, s.Edges[0], s.Edges[0])
	s.Openings = []rooms.Opening{{Key: "window", Gap: 3 * lmm, GapMax: 5 * lmm, Outline: rooms.Rect(191*lmm, 448*lmm, 762*lmm, 1244*lmm)}}
	l := lay(t, in)
	if why := l.Zones[0].Why; CheckLayout(l, in.Tiles) != nil || !strings.Contains(why, "up: 308.7 mm at bottom edge, inside corner, 308.2 mm at top edge") {
		t.Errorf("%s", why)
	}
	in = wall(1760*lmm, 1450*lmm, box("t", 404*lmm, 282*lmm), rooms.Zone{})
	in.Room.Surfaces[0].Openings = []rooms.Opening{{Key: "window", Gap: 3 * lmm, GapMax: 5 * lmm, Outline: rooms.Rect(191*lmm, 198*lmm, 844*lmm, 1007*lmm)}}
	l = lay(t, in)
	least := 282 * lmm
	for _, p := range l.Zones[0].Pieces {
		least = min(least, p.Polygon.Outer.Box().Height())
	}
	if least < 282*lmm/3-lmm {
		t.Errorf("a piece is %s high: %s", least, l.Zones[0].Why)
	}
}

// TestOddEdgeLowersOnlyItsOwnLimit: running bond in tiles of 197 on walls of every
// width, with a strip of 60 that goes on above them, a step of 60 in their side and a
// window: the least cut at the two ends of the wall is, within 2 mm, that of the wall
// without, which is the widest to be had (see TestOffsetAgainstItsWidth), or a third;
// but where that would leave the strip or the step a piece too narrow to be set.
func TestOddEdgeLowersOnlyItsOwnLimit(t *testing.T) {
	least := func(a *axis, o rooms.Length) rooms.Length {
		c := a.size
		for _, e := range a.edges {
			if e.long < 1000*lmm {
				continue
			}
			for _, s := range a.shifts {
				w, _ := a.cut(e, o+s)
				c = min(c, w)
			}
		}
		return c
	}
	lowered := 0
	for width := 1000 * lmm; width < 1200*lmm; width += 7 * lmm {
		plain := axis{size: 197 * lmm, joint: 3 * lmm, pitch: 100 * lmm, floor: 8 * lmm, shifts: []rooms.Length{0, 100 * lmm}}
		high := between(0, 2000*lmm)
		plain.edges = []axisEdge{{near: true, long: 2000 * lmm, over: high, slack: 2 * lmm}, {at: width, long: 2000 * lmm, over: high, slack: 2 * lmm}}
		o := plain.best()[0].o
		want := min(least(&plain, o), plain.size/3)
		above := between(2000*lmm, 2060*lmm)
		for name, odd := range map[string][]axisEdge{
			"strip": {{at: 0, near: true, long: 60 * lmm, over: above, slack: 2 * lmm}, {at: 60 * lmm, long: 60 * lmm, over: above, slack: 2 * lmm}},
			"step":  {{at: 0, near: true, long: 60 * lmm, over: above, slack: 2 * lmm}, {at: width + 60*lmm, long: 60 * lmm, over: above, slack: 2 * lmm}},
		} {
			a := plain
			a.edges = append(append([]axisEdge{}, plain.edges...), odd...)
			a.sortEdges()
			best := a.best()[0]
			if got := least(&a, best.o); got < want-2*lmm && a.rank(o)[0] == best.rank[0] {
				t.Errorf("%s wide, %s: a cut of %s at the wall's ends, without it %s", width, name, got, want)
			}
			if want < 65*lmm && a.rank(o)[0] == best.rank[0] {
				lowered++
			}
		}
	}
	if lowered < 10 {
		t.Errorf("only %d widths leave less than a third", lowered)
	}
}

// TestOffsetBesideADoor: running bond of 297 on a wall of 1800 with a door in its
// middle: full tiles and halves at the wall's ends would leave strips of 41 at both
// jambs in every other course; the least cut of all is wider than that.
func TestOffsetBesideADoor(t *testing.T) {
	in := wall(1800*lmm, 2400*lmm, box("t", 297*lmm, 97*lmm), rooms.Zone{Pattern: "offset 1/2"})
	in.Room.Surfaces[0].Openings = []rooms.Opening{{Key: "door", Gap: 3 * lmm, GapMax: 5 * lmm, Outline: rooms.Rect(500*lmm, 0, 1300*lmm, 2050*lmm)}}
	l := lay(t, in)
	if err := CheckLayout(l, in.Tiles); err != nil {
		t.Error(err)
	}
	narrow := 297 * lmm
	for _, p := range l.Zones[0].Pieces {
		narrow = min(narrow, p.Polygon.Outer.Box().Width())
	}
	if narrow < 65*lmm {
		t.Errorf("a piece is %s wide: %s", narrow, l.Zones[0].Why)
	}
}
