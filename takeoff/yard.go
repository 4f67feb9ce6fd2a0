package takeoff

import (
	"fmt"
	"strings"

	"potlife/rooms"
)

// YardOffcut is a rectangle left of a tile that was cut for something else, kept in
// the yard or on a site for whatever takes the same tile of the same lot.
type YardOffcut struct {
	// Key names the piece for good: once something is cut from it, the key is not
	// used again.
	Key       string
	Tile, Lot string // of no known lot it is listed and not offered
	// Width and Height as the tile lies, its face up.
	Width, Height rooms.Length
	// The sides that are the tile's own edges. Where two of them meet, the corner is
	// the tile's own too.
	Left, Bottom, Right, Top bool
	// Place is where it lies, in words or as a site's key; empty is the yard.
	Place string
	// From says what it was left of; empty where nobody wrote it down.
	From string
}

// Edges lists the sides that are the tile's own, in the order left, bottom, right,
// top.
func (o *YardOffcut) Edges() []string {
	list := []string{}
	for _, e := range []struct {
		own  bool
		name string
	}{{o.Left, "left"}, {o.Bottom, "bottom"}, {o.Right, "right"}, {o.Top, "top"}} {
		if e.own {
			list = append(list, e.name)
		}
	}
	return list
}

// SetEdges marks the sides named as the tile's own; an error names what is no side.
func (o *YardOffcut) SetEdges(names []string) error {
	o.Left, o.Bottom, o.Right, o.Top = false, false, false, false
	for _, n := range names {
		switch strings.TrimSpace(n) {
		case "left":
			o.Left = true
		case "bottom":
			o.Bottom = true
		case "right":
			o.Right = true
		case "top":
			o.Top = true
		default:
			return fmt.Errorf("%q is no side; write left, bottom, right or top", n)
		}
	}
	return nil
}

// ownWidth is how far two sides that are both the tile's own may be written from the
// tile's size: a nominal size is rounded, a lot as measured is not.
const ownWidth = 2 * rooms.Millimetre

// Check holds an offcut to its tile: rectangular, no larger than it, and with two
// opposite sides of the tile as wide as it.
func (o *YardOffcut) Check(tile *Tile) error {
	frame := tile.Shape.Box()
	if !isBox(rooms.Polygon{Outer: tile.Shape}) {
		return fmt.Errorf("tile %s is no rectangle, and only offcuts of rectangles are kept", tile.Key)
	}
	for _, d := range []struct {
		name      string
		size, all rooms.Length
		both      bool
		ends      string
	}{{"width", o.Width, frame.Width(), o.Left && o.Right, "left and right"}, {"height", o.Height, frame.Height(), o.Bottom && o.Top, "bottom and top"}} {
		switch {
		case d.size <= 0:
			return fmt.Errorf("%s %s: more than 0 is expected", d.name, d.size)
		case d.both && absLength(d.size-d.all) > ownWidth:
			return fmt.Errorf("%s %s between edges of the tile, whose %s is %s: leave %s out unless both are the tile's own", d.name, d.size, d.name, d.all, d.ends)
		case !d.both && d.size > d.all-8*nearTile:
			return fmt.Errorf("%s %s is not less than the tile's %s: the offcut is then as wide as the tile, and both %s are its own edges", d.name, d.size, d.all, d.ends)
		}
	}
	return nil
}

// Box is where the offcut lay in a tile: at the sides that are the tile's own, else
// away from them.
func (o *YardOffcut) Box(tile *Tile) rooms.Box {
	frame := tile.Shape.Box()
	x0, x1 := ownSpan(o.Width, frame.Width(), o.Left, o.Right)
	y0, y1 := ownSpan(o.Height, frame.Height(), o.Bottom, o.Top)
	return rooms.Box{Min: rooms.Point{X: x0, Y: y0}, Max: rooms.Point{X: x1, Y: y1}}
}

func ownSpan(size, all rooms.Length, low, high bool) (from, to rooms.Length) {
	switch {
	case low && high:
		return 0, all
	case low:
		return 0, size
	case high:
		return all - size, all
	}
	from = (all - size) / 2
	return from, from + size
}

// room is where something can still be cut from a stock tile: the whole tile, or of
// one in hand what came to hand.
func (s *StockTile) room(tile *Tile) rooms.Box {
	if s.Offcut != nil {
		return s.Offcut.Box(tile)
	}
	return tile.Shape.Box()
}

// InHand reports whether the tile is an offcut that was kept: nothing is bought for
// what is cut from it.
func (s *StockTile) InHand() bool { return s.Offcut != nil }

// taken are the places of a stock tile that are cut or promised.
func (s *StockTile) taken() []rooms.Polygon {
	list := make([]rooms.Polygon, 0, len(s.Pieces)+len(s.Gone))
	for _, q := range s.Pieces {
		list = append(list, q.Polygon)
	}
	return append(list, s.Gone...)
}
