package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
	"potlife/takeoff/nest"
)

// DefaultSmallest is the shorter side of the smallest offcut worth keeping:
// common practice, about what a snap cutter still holds.
const DefaultSmallest = 30 * rooms.Millimetre

// Offcut is a rectangle left of a stock tile, with the sides that are the tile's
// own edges.
type Offcut struct {
	Stock, Tile, Lot, Group  string
	Box                      rooms.Box // in the tile's frame
	Left, Bottom, Right, Top bool      // factory edges
}

// freeBoxes finds the largest upright rectangles of a tile's box that are clear
// of the pieces by the gap, at most three, none with a side under least.
func freeBoxes(frame rooms.Box, pieces []rooms.Polygon, gap, least rooms.Length) []rooms.Box {
	var list []rooms.Box
	taken := slices.Clone(pieces)
	for range 3 {
		b, ok := freeBox(frame, taken, gap, least)
		if !ok {
			break
		}
		list = append(list, b)
		taken = append(taken, rooms.Polygon{Outer: rooms.Rect(b.Min.X, b.Min.Y, b.Max.X, b.Max.Y)})
	}
	return list
}

// freeBox tries the rectangles between the corners of the pieces.
func freeBox(frame rooms.Box, pieces []rooms.Polygon, gap, least rooms.Length) (best rooms.Box, ok bool) {
	xs, ys := []rooms.Length{frame.Min.X, frame.Max.X}, []rooms.Length{frame.Min.Y, frame.Max.Y}
	for _, p := range pieces {
		for _, q := range p.Outer {
			xs, ys = append(xs, q.X-gap, q.X+gap), append(ys, q.Y-gap, q.Y+gap)
		}
	}
	xs, ys = within(xs, frame.Min.X, frame.Max.X), within(ys, frame.Min.Y, frame.Max.Y)
	area := 0.0
	for i, x0 := range xs {
		for _, x1 := range xs[i+1:] {
			if x1-x0 < least {
				continue
			}
			for j, y0 := range ys {
				for _, y1 := range ys[j+1:] {
					if y1-y0 < least || (x1-x0).Millimetres()*(y1-y0).Millimetres() <= area {
						continue
					}
					b := rooms.Box{Min: rooms.Point{X: x0, Y: y0}, Max: rooms.Point{X: x1, Y: y1}}
					if isFree(b, pieces, gap) {
						best, ok, area = b, true, (x1-x0).Millimetres()*(y1-y0).Millimetres()
					}
				}
			}
		}
	}
	return best, ok
}

// within sorts coordinates, leaves out those beyond the ends and repeats, and all
// of them where they are so many that the search would take long.
func within(list []rooms.Length, low, high rooms.Length) []rooms.Length {
	slices.Sort(list)
	list = slices.Compact(slices.DeleteFunc(list, func(l rooms.Length) bool { return l < low || l > high }))
	if len(list) > 24 {
		return nil
	}
	return list
}

// isFree reports whether a box grown by the gap meets no piece.
func isFree(b rooms.Box, pieces []rooms.Polygon, gap rooms.Length) bool {
	grown := rooms.Box{Min: rooms.Point{X: b.Min.X - gap, Y: b.Min.Y - gap}, Max: rooms.Point{X: b.Max.X + gap, Y: b.Max.Y + gap}}
	middle := rooms.Point{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2}
	for _, p := range pieces {
		if p.Outer.Place(middle) != rooms.Outside {
			return false
		}
		for i, q := range p.Outer {
			if entersBox(grown, q, p.Outer[(i+1)%len(p.Outer)]) {
				return false
			}
		}
	}
	return true
}

// entersBox reports whether a segment has a point inside a box, by cutting the
// segment off at the box's sides; it errs towards yes by a rounding.
func entersBox(b rooms.Box, p, q rooms.Point) bool {
	from, to := 0.0, 1.0
	for _, s := range [2][4]rooms.Length{{p.X, q.X, b.Min.X, b.Max.X}, {p.Y, q.Y, b.Min.Y, b.Max.Y}} {
		d := float64(s[1] - s[0])
		if d == 0 {
			if s[0] <= s[2] || s[0] >= s[3] {
				return false
			}
			continue
		}
		t0, t1 := float64(s[2]-s[0])/d, float64(s[3]-s[0])/d
		from, to = max(from, min(t0, t1)), min(to, max(t0, t1))
	}
	return from < to
}

// offcutsOf lists the rectangles left of a tile as the solver takes them.
func (t *taker) offcutsOf(tile *Tile, s *StockTile, number int) []nest.Offcut {
	frame := tile.Shape.Box()
	var list []nest.Offcut
	for _, b := range freeBoxes(s.room(tile), s.taken(), t.kerf(), cmp.Or(t.in.SmallestOffcut, DefaultSmallest)) {
		list = append(list, nest.Offcut{
			W: int64(b.Width()), H: int64(b.Height()), Factory: touched(b, frame), Tile: number, Stock: -1, X: int64(b.Min.X), Y: int64(b.Min.Y),
		})
	}
	return list
}

// kerf of the saw.
func (t *taker) kerf() rooms.Length { return cmp.Or(t.in.Kerf, DefaultKerf) }

// Offcuts lists what is left of the stock tiles of rectangular tile that are cut,
// largest first by stock tile: what is worth keeping until the next plan.
func (t *Taken) Offcuts() []Offcut {
	memory := t.memory
	if memory == nil {
		memory = &Memory{} // tiles cut alike leave the same
	}
	var list []Offcut
	for _, s := range t.Stock {
		tile := t.catalogue.tile(s.Tile)
		if s.Broken || tile == nil || !isBox(rooms.Polygon{Outer: tile.Shape}) {
			continue
		}
		frame, pieces := tile.Shape.Box(), s.taken()
		if len(pieces) == 1 && pieces[0].Outer.Box() == frame && isBox(pieces[0]) {
			continue
		}
		for _, b := range memory.freeBoxes(s.room(tile), pieces, t.kerf, t.smallest) {
			if list == nil {
				list = make([]Offcut, 0, len(t.Stock))
			}
			sides := touched(b, frame)
			list = append(list, Offcut{Stock: s.ID, Tile: s.Tile, Lot: s.Lot, Group: s.Group, Box: b,
				Left: sides&nest.Left != 0, Bottom: sides&nest.Bottom != 0, Right: sides&nest.Right != 0, Top: sides&nest.Top != 0})
		}
	}
	return list
}
