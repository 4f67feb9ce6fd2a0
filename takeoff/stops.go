package takeoff

import (
	"cmp"
	"fmt"
	"slices"

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
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
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
	for _, p := range t.pieces {
		if p.OnSite || p.Full {
			continue
		}
		list, why := settable(p, t.tiles[p.Tile], scale)
		if why != "" {
			p.OnSite, p.OnSiteWhy = true, why
			continue
		}
		for _, c := range list {
			k := key{p.Tile, p.Cuts[c.cut].Tool}
			if cuts[k] == nil {
				keys = append(keys, k)
			}
			cuts[k] = append(cuts[k], c)
		}
	}
	slices.SortFunc(keys, func(a, b key) int { return cmp.Or(cmp.Compare(a.tile, b.tile), cmp.Compare(a.tool, b.tool)) })
	for _, k := range keys {
		groups := stab(cuts[k], scale)
		for _, g := range groups {
			s := StopGroup{Tile: k.tile, Tool: k.tool, Size: g.size, Least: g.least, Most: g.most}
			for _, c := range g.cuts {
				c.piece.Cuts[c.cut].Size = g.size
				s.Pieces = append(s.Pieces, c.piece.ID)
			}
			t.out.Stops = append(t.out.Stops, s)
		}
		t.out.Savings = append(t.out.Savings, StopSaving{k.tile, k.tool, len(cuts[k]), len(groups)})
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

// stab serves all intervals by the fewest settings. Sorted by right end, the
// first interval not yet served must hold a setting; its right end is the one
// that serves most of the later ones, so the greedy choice is optimal. Sizes
// are then picked inside what all cuts of a setting have in common.
func stab(cuts []stopCut, scale stopScale) []stop {
	cuts = slices.Clone(cuts)
	slices.SortFunc(cuts, func(a, b stopCut) int {
		return cmp.Or(cmp.Compare(a.most, b.most), cmp.Compare(a.least, b.least), cmp.Compare(a.piece.ID, b.piece.ID), cmp.Compare(a.cut, b.cut))
	})
	var list []stop
	for _, c := range cuts {
		if n := len(list); n > 0 && c.least <= list[n-1].most {
			s := &list[n-1]
			s.least = max(s.least, c.least)
			s.cuts = append(s.cuts, c)
			continue
		}
		list = append(list, stop{least: c.least, most: c.most, cuts: []stopCut{c}})
	}
	for i := range list {
		list[i].size = pickSize(list[i], scale)
	}
	return list
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
