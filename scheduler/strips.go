package scheduler

import (
	"cmp"
	"math"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// stripRows makes the rows of a floor: strips across the way out, the farthest
// first, so that nobody has to step on fresh tile.
func stripRows(surface string, s *rooms.Surface, l *takeoff.Layout, z *takeoff.ZoneLayout, items []*item) []block {
	across, sign := wayOut(s, l)
	far := func(it *item) rooms.Length { return sign * mid(it, across) }
	pitch := rooms.Length(1)
	least := far(items[0])
	for _, it := range items {
		least = min(least, far(it))
		if across {
			pitch = max(pitch, it.hi.X-it.lo.X)
		} else {
			pitch = max(pitch, it.hi.Y-it.lo.Y)
		}
	}
	var rows []block
	for _, row := range inRows(items, func(it *item) int { return int((far(it) - least + pitch/2) / (pitch + z.Zone.Joint)) }) {
		off := func(it *item) rooms.Length {
			if across {
				d := mid(it, false) - z.LevelLine
				return max(d, -d)
			}
			return offPlumb(it, z)
		}
		slices.SortStableFunc(row, func(a, b *item) int { return cmp.Or(cmp.Compare(off(a), off(b)), cmp.Compare(a.piece.ID, b.piece.ID)) })
		for i, it := range row {
			it.hops = i
		}
		rows = append(rows, block{surface: surface, items: row})
	}
	return rows
}

func mid(it *item, x bool) rooms.Length {
	if x {
		return (it.lo.X + it.hi.X) / 2
	}
	return (it.lo.Y + it.hi.Y) / 2
}

// wayOut says along which axis one leaves a floor, and with which sign it is
// counted so that the far side comes first: towards the doorway edge or, where
// there is none, towards the front as drawn.
func wayOut(s *rooms.Surface, l *takeoff.Layout) (alongX bool, sign rooms.Length) {
	lo, hi := bounds(l.Outline.Outer)
	cx, cy := (lo.X+hi.X)/2, (lo.Y+hi.Y)/2
	for i, e := range s.Edges {
		if e.Meets != rooms.Doorway || i >= len(s.Outline) {
			continue
		}
		a, b := s.Outline[i], s.Outline[(i+1)%len(s.Outline)]
		dx, dy := float64((a.X+b.X)/2-cx), float64((a.Y+b.Y)/2-cy)
		if math.Abs(dx) > math.Abs(dy) {
			return true, signOf(dx)
		}
		return false, signOf(dy)
	}
	return false, -1
}

func signOf(v float64) rooms.Length {
	if v < 0 {
		return -1
	}
	return 1
}
