package takeoff

import (
	"cmp"
	"fmt"
	"slices"

	"potlife/rooms"
)

// searchOrigin tries origins of a pattern whose directions depend on each
// other: every member of the cell centred, and a joint crossing centred, across
// and up, and tiles flush with the outer edges. Each is laid in full and judged
// by its pieces. This is a selection and not every cell of the arrangement.
func (z *zoneLayer) searchOrigin(s *rooms.Surface, d rooms.Datum) (rooms.Point, string, error) {
	b := rooms.BoxOf(z.ground.cover)
	xs := z.axisChoices(d.Across, rooms.FullLeft, rooms.FullRight, b.Min.X, b.Max.X, d.X, func(r rooms.Box) (rooms.Length, rooms.Length) { return r.Min.X, r.Max.X })
	ys := z.axisChoices(d.Up, rooms.FullLow, rooms.FullHigh, b.Min.Y, b.Max.Y, d.Y, func(r rooms.Box) (rooms.Length, rooms.Length) { return r.Min.Y, r.Max.Y })
	var list []triedOrigin
	for _, x := range xs {
		for _, y := range ys {
			o := rooms.Point{X: x, Y: y}
			got, err := z.fill.fill(o)
			if err != nil {
				return o, "", err
			}
			list = append(list, triedOrigin{o, z.judge(s, got)})
		}
	}
	slices.SortFunc(list, func(a, b triedOrigin) int {
		return cmp.Or(slices.Compare(a.rank[:], b.rank[:]), cmp.Compare(a.at.X, b.at.X), cmp.Compare(a.at.Y, b.at.Y))
	})
	w := list[0]
	for _, r := range list[1:] {
		if len(z.runners) == 3 {
			break
		}
		if !slices.ContainsFunc(z.runners, func(o RunnerUp) bool { return o.Origin == r.at }) {
			if err := z.runnerUp(r.at, fmt.Sprintf("%d pieces under the least strip, %d under a third, %d under half", r.rank[0], r.rank[1], r.rank[2])); err != nil {
				return w.at, "", err
			}
		}
	}
	return w.at, fmt.Sprintf("best of %d origins laid: %d pieces under the least strip, %d under a third, %d under half, %d cut",
		len(list), w.rank[0], w.rank[1], w.rank[2], w.rank[5]), nil
}

// triedOrigin is an origin with how good its pieces are, less is better.
type triedOrigin struct {
	at   rooms.Point
	rank [6]int64
}

// axisChoices lists places for the origin along one axis.
func (z *zoneLayer) axisChoices(policy, fullLow, fullHigh string, low, high, at rooms.Length, span func(rooms.Box) (rooms.Length, rooms.Length)) []rooms.Length {
	t0, t1 := span(z.lay.turn.ring(z.lay.tiles[0].ring).Box())
	if !bestWanted(policy) {
		o, _ := axisOrigin(policy, fullLow, fullHigh, low, high, t1-t0, z.lay.joint, at+t0)
		return []rooms.Length{o - t0}
	}
	middle := low + (high-low)/2
	var list []rooms.Length
	for _, m := range z.lay.tiles {
		a, b := span(z.lay.turn.ring(m.ring).Box())
		list = append(list, middle-a-(b-a)/2, middle-a+z.lay.joint/2, low-a, high-b)
		if len(list) >= 12 {
			break
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// judge counts pieces below the limits, what seen edges lack, and cut pieces.
// A piece is measured by its width against its tile's.
func (z *zoneLayer) judge(s *rooms.Surface, got laid) (r [6]int64) {
	for _, c := range got.cuts {
		m := &z.lay.tiles[c.member]
		full := narrowSide(m.ring)
		for _, q := range c.parts {
			w := narrowSide(q.outer.plain())
			switch {
			case w < absoluteFloor(z.tiles[m.tile]):
				r[0]++
			case 3*w < full:
				r[1]++
			case 2*w < full:
				r[2]++
			}
			if z.seenPart(s, q) {
				r[3] += int64((m.whole.MM2() - q.polygon().AreaMM2()) / 100)
			}
			r[5]++
		}
	}
	box := rooms.BoxOf(z.ground.cover)
	r[4] = unbalance(got, box)
	return r
}

// unbalance compares what is cut on the left and the right, and below and above
// the middle, in cm².
func unbalance(got laid, box rooms.Box) int64 {
	var side [4]float64
	mx, my := box.Min.X+box.Width()/2, box.Min.Y+box.Height()/2
	for _, c := range got.cuts {
		b := c.ring.Box()
		x, y := b.Min.X+b.Width()/2, b.Min.Y+b.Height()/2
		for _, q := range c.parts {
			a := q.polygon().AreaMM2()
			if x < mx {
				side[0] += a
			} else {
				side[1] += a
			}
			if y < my {
				side[2] += a
			} else {
				side[3] += a
			}
		}
	}
	return int64(max(side[0]-side[1], side[1]-side[0])/100) + int64(max(side[2]-side[3], side[3]-side[2])/100)
}

func (z *zoneLayer) seenPart(s *rooms.Surface, q part) bool {
	for _, v := range q.outer {
		if v.tag >= 0 && z.made[v.tag] >= 0 && seenBorder(s, z.ground.lines[z.made[v.tag]]) {
			return true
		}
	}
	return false
}

// narrowSide is the least distance of two parallel lines that hold the ring
// between them.
func narrowSide(r rooms.Ring) rooms.Length {
	h := hull(r)
	best := rooms.Length(1 << 62)
	for i, a := range h {
		width := rooms.Length(0)
		for _, p := range h {
			width = max(width, leftOf(a, h[(i+1)%len(h)], p))
		}
		best = min(best, width)
	}
	return best
}
