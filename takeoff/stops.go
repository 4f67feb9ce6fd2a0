package takeoff

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"potlife/rooms"
)

// StopSaving says how few settings serve the cuts of one tile and tool.
type StopSaving struct {
	Tile, Tool     string
	Cuts, Settings int
}

// String reads "41 cuts, 6 settings".
func (s StopSaving) String() string {
	return fmt.Sprintf("%s, %s", count(s.Cuts, "cut"), count(s.Settings, "setting"))
}

// count prints a number with its noun.
func count(n int, noun string) string {
	return rooms.Grouped(strconv.Itoa(n)) + " " + rooms.Plural(noun, float64(n))
}

// stopScale is what a saw's stop can be set to: wish first, and in between only
// where no wished size fits.
type stopScale struct{ wish, fine rooms.Length }

// Whole millimetres or sixteenths of an inch are what a tape shows; tenths and
// 64ths can still be set.
var (
	metricStops   = stopScale{rooms.Millimetre, 100 * rooms.Micrometre}
	imperialStops = stopScale{4 * rooms.SixtyFourth, rooms.SixtyFourth}
)

func floorTo(l, step rooms.Length) rooms.Length { return l.Round(step, rooms.Down) }
func ceilTo(l, step rooms.Length) rooms.Length  { return l.Round(step, rooms.Up) }

// stopCut is a cut that waits for its setting. Its interval is already shrunk
// to sizes that can be set.
type stopCut struct {
	piece       *takenPiece
	cut         int
	least, most rooms.Length
}

func (c stopCut) drawn() rooms.Length { return c.piece.Cuts[c.cut].Drawn }

// chooseStops gives every sized cut of a tile and tool the fewest stop settings
// that serve them all, over all rooms, writes the sizes into the pieces and
// lists the settings. Pieces with a cut that no stop can be set to are left to
// be measured on site.
func (t *taker) chooseStops() {
	scale := metricStops
	if t.in.Imperial {
		scale = imperialStops
	}
	type key struct{ tile, tool string }
	cuts := map[key][]stopCut{}
	var keys []key
	sized := make([][]stopCut, len(t.pieces))
	Each(len(t.pieces), smallShare, func(i int) {
		if p := t.pieces[i]; !p.OnSite && !p.Full {
			list, why := settable(p, t.tiles[p.Tile], scale)
			if sized[i] = list; why != "" {
				p.OnSite, p.OnSiteWhy = true, why
			}
		}
	})
	for i, p := range t.pieces {
		for _, c := range sized[i] {
			k := key{p.Tile, p.Cuts[c.cut].Tool}
			if cuts[k] == nil {
				keys = append(keys, k)
			}
			cuts[k] = append(cuts[k], c)
		}
	}
	slices.SortFunc(keys, func(a, b key) int { return cmp.Or(cmp.Compare(a.tile, b.tile), cmp.Compare(a.tool, b.tool)) })
	stops := make([][]stop, len(keys))
	Each(len(keys), 1, func(i int) { stops[i] = stab(cuts[keys[i]], scale) })
	for i, k := range keys {
		for _, g := range stops[i] {
			s := StopGroup{Tile: k.tile, Tool: k.tool, Size: g.size, Least: g.least, Most: g.most}
			for _, c := range g.cuts {
				c.piece.Cuts[c.cut].Size = g.size
				s.Pieces = append(s.Pieces, c.piece.ID)
			}
			t.out.Stops = append(t.out.Stops, s)
		}
		t.out.Savings = append(t.out.Savings, StopSaving{k.tile, k.tool, len(cuts[k]), len(stops[i])})
	}
}

// settable lists a piece's sized cuts with the sizes a stop can be set to. Why
// is not empty where there is none for one of them.
func settable(p *takenPiece, tile *Tile, scale stopScale) (list []stopCut, why string) {
	if !p.kept && splinter(p, tile) {
		return nil, "a splinter that no cut of a set size leaves whole; another origin or gap would free it"
	}
	for i, c := range p.Cuts {
		if !c.Sized {
			continue
		}
		if p.kept {
			list = append(list, stopCut{p, i, c.Size, c.Size})
			continue
		}
		most := c.Most
		if side := sideOfTile(p.Piece, tile, c.Side); side > 0 {
			most = min(most, max(side, c.Drawn))
		}
		least, most := ceilTo(max(c.Least, 1), scale.fine), floorTo(most, scale.fine)
		if least > most {
			return nil, fmt.Sprintf("no stop can be set between %s and %s; a reading at %s that widens the gap's limits would free it",
				c.Least, c.Most, cmp.Or(c.At, c.Side))
		}
		list = append(list, stopCut{p, i, least, most})
	}
	return list, ""
}

// splinter reports whether nothing is left of a piece at its least sizes.
func splinter(p *takenPiece, tile *Tile) bool {
	if len(p.Polygon.Outer) == 4 && isBox(p.Polygon) {
		return false
	}
	least := *p.Piece
	least.Cuts = slices.Clone(p.Cuts)
	for i := range least.Cuts {
		least.Cuts[i].Size = least.Cuts[i].Least
	}
	return vanishes(StockShape(least, *tile))
}

// sideOfTile is the length of the tile's side along which a cut on that side of
// the piece is measured, 0 where the piece lies at an angle.
func sideOfTile(p *Piece, tile *Tile, side string) rooms.Length {
	b := tile.Shape.Box()
	across := side == "left" || side == "right"
	if !across && side != "top" && side != "bottom" {
		return 0
	}
	if quarter, ok := quarterTurn(p); !ok {
		return 0
	} else if across == (quarter%2 == 0) {
		return b.Width()
	}
	return b.Height()
}

// quarterTurn is the number of quarter turns from the tile's frame to the
// surface; ok is false where the piece lies at another angle.
func quarterTurn(p *Piece) (n int, ok bool) {
	for n := range 4 {
		if d := p.Degrees - float64(90*n); d == 0 || d == 360 || d == -360 {
			return n, true
		}
	}
	return 0, false
}

// stop is one setting and what it serves.
type stop struct {
	size, least, most rooms.Length
	cuts              []stopCut
}

// stab serves all intervals by the fewest settings and, of these, by the fewest
// that lie off the wished scale.
//
// Moved up to the first right end among the intervals it serves, or to the last
// wished size below that, a setting still serves them; so it is enough to choose
// among these sizes. A choice serves all if no interval lies between two
// neighbours of it, and the best choice up to each size follows from those
// before it, of which a window that only moves forward is in reach.
func stab(cuts []stopCut, scale stopScale) []stop {
	cuts = slices.Clone(cuts)
	slices.SortFunc(cuts, func(a, b stopCut) int {
		return cmp.Or(cmp.Compare(a.most, b.most), cmp.Compare(a.least, b.least), cmp.Compare(a.piece.ID, b.piece.ID), cmp.Compare(a.cut, b.cut))
	})
	sizes := stopSizes(cuts, scale)
	chosen := fewestSizes(cuts, sizes, scale)
	list := make([]stop, len(chosen))
	for i, size := range chosen {
		list[i] = stop{size: size, most: rooms.MaxSide}
	}
	for _, c := range cuts {
		s := &list[nearestStop(chosen, c)]
		s.least, s.most = max(s.least, c.least), min(s.most, c.most)
		s.cuts = append(s.cuts, c)
	}
	list = slices.DeleteFunc(list, func(s stop) bool { return len(s.cuts) == 0 })
	for i := range list {
		list[i].size = pickSize(list[i], scale)
	}
	return list
}

// stopSizes lists the sizes worth choosing from, ascending.
func stopSizes(cuts []stopCut, scale stopScale) []rooms.Length {
	var sizes []rooms.Length
	for _, c := range cuts {
		sizes = append(sizes, c.most)
		if w := floorTo(c.most, scale.wish); w >= c.least {
			sizes = append(sizes, w)
		}
	}
	slices.Sort(sizes)
	return slices.Compact(sizes)
}

// stopCost counts settings first and then those off the wished scale.
type stopCost struct{ settings, off int }

func (a stopCost) less(b stopCost) bool {
	return a.settings < b.settings || a.settings == b.settings && a.off < b.off
}

// fewestSizes chooses the sizes. before[i] is the size chosen before sizes[i] in
// the best choice that ends there, -1 for none.
func fewestSizes(cuts []stopCut, sizes []rooms.Length, scale stopScale) []rooms.Length {
	if len(cuts) == 0 {
		return nil
	}
	// reach[i] is the first right end of an interval that begins after sizes[i]:
	// the next size chosen may not lie beyond it.
	byLeast := slices.Clone(cuts)
	slices.SortFunc(byLeast, func(a, b stopCut) int { return cmp.Compare(a.least, b.least) })
	reach := make([]rooms.Length, len(sizes))
	end, next := rooms.MaxSide, len(byLeast)-1
	for i := len(sizes) - 1; i >= 0; i-- {
		for ; next >= 0 && byLeast[next].least > sizes[i]; next-- {
			end = min(end, byLeast[next].most)
		}
		reach[i] = end
	}
	cost, before := make([]stopCost, len(sizes)), make([]int, len(sizes))
	var window []int // candidates for the size before, costs ascending
	for i, size := range sizes {
		if i > 0 {
			for len(window) > 0 && cost[i-1].less(cost[window[len(window)-1]]) {
				window = window[:len(window)-1]
			}
			window = append(window, i-1)
		}
		for len(window) > 0 && reach[window[0]] < size {
			window = window[1:]
		}
		before[i], cost[i] = -1, stopCost{1, 0}
		if size > cuts[0].most { // the first interval needs a size before
			before[i] = window[0]
			cost[i] = stopCost{cost[window[0]].settings + 1, cost[window[0]].off}
		}
		if size%scale.wish != 0 {
			cost[i].off++
		}
	}
	best := -1
	for i := range sizes {
		if reach[i] == rooms.MaxSide && (best < 0 || cost[i].less(cost[best])) {
			best = i
		}
	}
	var chosen []rooms.Length
	for ; best >= 0; best = before[best] {
		chosen = append(chosen, sizes[best])
	}
	slices.Reverse(chosen)
	return chosen
}

// nearestStop is the setting for a cut: the largest one not above what is drawn,
// else the smallest above it.
func nearestStop(chosen []rooms.Length, c stopCut) int {
	best := -1
	for i, s := range chosen {
		if s >= c.least && s <= c.most && (best < 0 || s <= c.drawn()) {
			best = i
		}
	}
	return best
}

// pickSize takes the size nearest to what was drawn, never above the shortest
// drawn where the limits allow that, on the wished scale if it has any size in
// the interval and on the fine one otherwise.
func pickSize(s stop, scale stopScale) rooms.Length {
	aim := s.cuts[0].drawn()
	for _, c := range s.cuts {
		aim = min(aim, c.drawn())
	}
	for _, step := range []rooms.Length{scale.wish, scale.fine} {
		low, high := ceilTo(s.least, step), floorTo(s.most, step)
		if low <= high {
			return min(max(floorTo(aim, step), low), high)
		}
	}
	return s.least // a piece cut already, at a size between the marks
}
