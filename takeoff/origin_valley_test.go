package takeoff

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"potlife/rooms"
)

// drawAnyAxis is any pattern between a few edges, some of them seen, in units.
func drawAnyAxis(rt *rapid.T) axis {
	a := drawAxis(rt)
	if rapid.Bool().Draw(rt, "straight") {
		a.shifts = a.shifts[:1]
	}
	for i := range a.edges {
		a.edges[i].eye = rapid.IntRange(unseen, seenFirst).Draw(rt, "eye")
		a.edges[i].bare = rapid.Bool().Draw(rt, "bare")
	}
	return a
}

// everyUnit ranks every unit of the pitch.
func everyUnit(a *axis) []rankedOffset {
	var list []rankedOffset
	for o := rooms.Length(0); o < a.size+a.joint; o++ {
		list = append(list, a.rankedAt(o))
	}
	return list
}

// away is how far two offsets are apart.
func (a *axis) away(x, y rooms.Length) rooms.Length {
	p := a.size + a.joint
	d := ((x-y)%p + p) % p
	return min(d, p-d)
}

// TestValleysAgainstEveryUnit: what is found are places that none within five grains
// betters, each of another rank and where it is said to be, in order; every rank of which
// a place has none better within eight is among them (between these the ends of stretches
// of one rank decide, to the unit); those beside them are the best that are left at every
// step.
func TestValleysAgainstEveryUnit(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a := drawAnyAxis(rt)
		marks := slices.Clone(a.best())
		slices.SortFunc(marks, func(x, y rankedOffset) int { return int(x.o - y.o) })
		all := everyUnit(&a)
		p := rooms.Length(len(all))
		valley := func(o, apart rooms.Length) bool {
			for d := -apart; d <= apart; d++ {
				if all[((o+d)%p+p)%p].rank.compare(all[o].rank) < 0 {
					return false
				}
			}
			return true
		}
		var want []rankedOffset
		for _, x := range all {
			if valley(x.o, a.apart()+3*rooms.Length(a.grain())) {
				want = append(want, x)
			}
		}
		want = a.ofEachRank(want)
		got := a.valleys(marks)
		for _, x := range want {
			if !slices.ContainsFunc(got, func(y rankedOffset) bool { return x.rank.ties(y.rank) }) {
				rt.Fatalf("%+v: places of their own\n%v, want\n%v", a, got, want)
			}
		}
		if once := a.ofEachRank(slices.Clone(got)); !slices.Equal(got, once) {
			rt.Fatalf("%+v: %v, of each rank %v", a, got, once)
		}
		for _, v := range got {
			if !valley(v.o, a.apart()) || all[v.o].rank != v.rank {
				rt.Fatalf("%+v: %v is no place of its own", a, v)
			}
		}
		named := got[:1]
		taken := slices.Clone(named)
		ranks := slices.Clone(named)
		beside := a.beside(marks, named, 3)
		for _, v := range beside {
			for {
				var best *rankedOffset
				for i := range all {
					x := &all[i]
					if !slices.ContainsFunc(taken, func(y rankedOffset) bool { return a.away(x.o, y.o) < a.apart() }) && (best == nil || x.rank.compare(best.rank) < 0) {
						best = x
					}
				}
				if best == nil {
					rt.Fatalf("%+v: %v is beside nothing", a, v)
				}
				if best.rank.ties(v.rank) && best.rank == all[v.o].rank {
					break
				}
				if !slices.ContainsFunc(ranks, func(y rankedOffset) bool { return y.rank.ties(best.rank) }) {
					rt.Fatalf("%+v: %v comes before %v", a, *best, v)
				}
				taken = append(taken, *best)
			}
			taken, ranks = append(taken, v), append(ranks, v)
		}
	})
}

// TestRunnersUpAreTheNext lays walls from the places found and holds the runners-up
// against a grid of origins a millimetre apart: they come in the order of their ranks,
// no two are of one rank, and no place on the grid of another rank that none within 5 mm
// betters comes before the last of them.
func TestRunnersUpAreTheNext(t *testing.T) {
	for _, pattern := range []string{"straight", "offset 1/2", "offset 1/3"} {
		in := wall(2000*lmm, 1100*lmm, box("t", 297*lmm, 147*lmm), rooms.Zone{Pattern: pattern})
		s := &in.Room.Surfaces[0]
		s.Edges[1].Meets = rooms.OutsideCorner
		s.Openings = []rooms.Opening{{Key: "window", Outline: rooms.Rect(700*lmm, 500*lmm, 1210*lmm, 1100*lmm), Gap: 3 * lmm, GapMax: 5 * lmm}}
		w, err := prepareSurface(in, s, viewOf(&in.Room))
		if err != nil {
			t.Fatal(err)
		}
		z := w.layers[0]
		across, upward, _ := z.axes(s)
		across.judgeSpans()
		upward.judgeSpans()
		sum := func(o rooms.Point) axisRank {
			x, y := across.rank(o.X), upward.rank(o.Y)
			for i := range x {
				x[i] += y[i]
			}
			return x
		}
		at, why, err := z.origin(s)
		if err != nil || len(z.runners) != 3 {
			t.Fatalf("%s: %d runners-up, %v, %s", pattern, len(z.runners), err, why)
		}
		ranks := []axisRank{sum(at)}
		for _, r := range z.runners {
			q := sum(r.Origin)
			if last := ranks[len(ranks)-1]; q.compare(last) <= 0 || q.ties(last) {
				t.Errorf("%s: %v with %v follows %v", pattern, r.Origin, q, last)
			}
			ranks = append(ranks, q)
		}
		for _, x := range gridValleys(&across) {
			for _, y := range gridValleys(&upward) {
				q := sum(rooms.Point{X: x, Y: y})
				near := func(r axisRank) bool {
					return q.ties(r) || slices.Compare(q[:rankLacks], r[:rankLacks]) == 0 && q.compare(r) > 0
				}
				if q.compare(ranks[3]) < 0 && !slices.ContainsFunc(ranks, near) {
					t.Errorf("%s: %v at %s, %s is missing among %v", pattern, q, x, y, ranks)
				}
			}
		}
	}
}

// gridValleys are the whole millimetres of a pitch that no other within 5 mm betters.
func gridValleys(a *axis) []rooms.Length {
	var list []rooms.Length
	n := (a.size + a.joint) / lmm
	for o := range n {
		r := a.rank(o * lmm)
		best := true
		for d := rooms.Length(-5); d <= 5; d++ {
			best = best && a.rank((o+d)*lmm).compare(r) >= 0
		}
		if best {
			list = append(list, o*lmm)
		}
	}
	return list
}
