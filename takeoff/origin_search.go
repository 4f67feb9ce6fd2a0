package takeoff

import (
	"cmp"
	"fmt"
	"slices"

	"potlife/rooms"
)

// laidInFull is how many of the best origins are laid in full, to be told apart
// by what the search does not weigh.
const laidInFull = 8

// searchOrigin finds the best origin; of an axis whose place is given the other
// alone is searched.
func (z *zoneLayer) searchOrigin(s *rooms.Surface, d rooms.Datum) (rooms.Point, string, error) {
	c := z.newCellSearch(s, z.searchBase(d), [2]bool{bestWanted(d.Across), bestWanted(d.Up)})
	c.faults = z.axisFaults(s)
	ruled, err := c.run()
	if err != nil {
		return rooms.Point{}, "", err
	}
	z.searched = ruled >= 1 && c.free == [2]bool{true, true} && c.faults == nil
	return z.choose(c, ruled)
}

// choose takes the best of the origins tried, which are told apart in full, and
// says what share of all was looked at or ruled out.
func (z *zoneLayer) choose(c *cellSearch, ruled float64) (rooms.Point, string, error) {
	tried, err := c.inFull()
	if err != nil {
		return rooms.Point{}, "", err
	}
	list := []rooms.Point{tried[0].at}
	for _, t := range tried[1:] {
		if t.rank.ties(tried[0].rank) {
			list = append(list, t.at)
		}
	}
	k, tie, err := z.breakTie(list)
	if err != nil {
		return rooms.Point{}, "", err
	}
	w := tried[k]
	others := c.others(w)
	ahead := ""
	for _, r := range slices.Concat(others, tried) {
		if len(z.runners) == mostOthers {
			break
		}
		if z.farFrom(w.at, r.at) && !slices.ContainsFunc(z.runners, func(o RunnerUp) bool { return !z.farFrom(o.Origin, r.at) }) {
			if len(z.runners) == 0 {
				ahead = w.rank.ahead(r.rank)
			}
			if err := z.runnerUp(r.at, c.words(r)); err != nil {
				return w.at, "", err
			}
		}
	}
	by, err := c.searchDecidedBy(c.surface, w.at)
	if err != nil {
		return w.at, "", err
	}
	how := fmt.Sprintf("best of all places, told apart to %s: %d weighed, the rest ruled out", z.figures().finest(), len(c.tried))
	if ruled < 1 {
		how = fmt.Sprintf("best of %d places weighed; %s of all were looked at or ruled out", len(c.tried), percentDown(ruled))
	}
	return w.at, how + ": " + c.words(w) + ahead + by + tie + othersShown(len(others), len(z.runners)), nil
}

// othersShown says what the runners-up are, of which some are places of their own: they
// are not searched for by themselves.
func othersShown(own, all int) string {
	switch {
	case all == 0:
		return ""
	case own == 0:
		return "; the others shown are the best of those weighed"
	case own < all:
		return fmt.Sprintf("; of the others shown the best %d of those weighed lie apart, the rest beside these", own)
	}
	return "; the others shown are the best of those weighed that lie apart"
}

// percentDown is a share in percent, rounded down so that only all is 100 %.
func percentDown(share float64) string { return fmt.Sprintf("%d %%", int(share*100)) }

// searchBase is where the search begins: in the middle, or where an axis is given.
func (z *zoneLayer) searchBase(d rooms.Datum) rooms.Point {
	b := rooms.BoxOf(z.ground.cover)
	base := rooms.Point{X: b.Min.X + b.Width()/2, Y: b.Min.Y + b.Height()/2}
	box := z.lay.turn.ring(z.lay.tiles[0].ring).Box()
	if !bestWanted(d.Across) {
		o, _ := axisOrigin(d.Across, rooms.FullLeft, rooms.FullRight, b.Min.X, b.Max.X, box.Width(), z.lay.joint, d.X+box.Min.X)
		base.X = o - box.Min.X
	}
	if !bestWanted(d.Up) {
		o, _ := axisOrigin(d.Up, rooms.FullLow, rooms.FullHigh, b.Min.Y, b.Max.Y, box.Height(), z.lay.joint, d.Y+box.Min.Y)
		base.Y = o - box.Min.Y
	}
	return base
}

// inFull puts the origins tried in order and lays the best in full.
func (c *cellSearch) inFull() ([]triedOrigin, error) {
	slices.SortFunc(c.tried, compareTried)
	c.tried = slices.Compact(c.tried)
	var list []triedOrigin
	for i, t := range slices.Clone(c.tried) {
		if len(list) == laidInFull {
			break
		}
		if i > 0 && slices.ContainsFunc(list, func(o triedOrigin) bool { return !c.z.farFrom(o.at, t.at) }) {
			continue
		}
		t, err := c.snug(t)
		if err != nil {
			return nil, err
		}
		got, err := c.z.fill.fill(t.at)
		if err != nil {
			return nil, err
		}
		rank := c.z.judgeBy(c.sides, got)
		rank[0] += c.faults.count(t.at)
		list = append(list, triedOrigin{t.at, rank})
	}
	slices.SortFunc(list, compareTried)
	return list, nil
}

func compareTried(a, b triedOrigin) int {
	return cmp.Or(a.rank.compare(b.rank), cmp.Compare(a.at.X, b.at.X), cmp.Compare(a.at.Y, b.at.Y))
}

// farFrom reports whether two origins are not the same but for whole cells.
func (z *zoneLayer) farFrom(p, q rooms.Point) bool { return z.apartBy(p, q, distinct) }

// apartBy reports whether two origins lie so far apart, but for whole cells.
func (z *zoneLayer) apartBy(p, q rooms.Point, far rooms.Length) bool {
	l := z.lay
	for i := -2; i <= 2; i++ {
		for j := -2; j <= 2; j++ {
			c := l.turn.apply(l.cell(i, j))
			if absLen(p.X-q.X-c.X) < far && absLen(p.Y-q.Y-c.Y) < far {
				return false
			}
		}
	}
	return true
}

// triedOrigin is an origin with how good its pieces are, less is better: the
// criteria are those of axisRank.
type triedOrigin struct {
	at   rooms.Point
	rank axisRank
}

// words says what decided, and, of a pattern that has them, what is left along its axes.
func (c *cellSearch) words(t triedOrigin) string {
	if c.faults == nil {
		return t.words()
	}
	text := ""
	if n := c.faults.count(t.at); n > 0 {
		t.rank[0] -= n
		text = fmt.Sprintf(", %s narrower than the width allows or in a gap too wide", count(int(n), "end"))
	}
	return t.words() + text + "; " + c.faults.words(t.at, c.z.figures())
}

// words says what decided.
func (t triedOrigin) words() string {
	r := t.rank
	return fmt.Sprintf("%s under the least strip, %d under a third, %d under half, %d cut", count(int(r[0]), "piece"), r[1], r[2], r[9])
}
