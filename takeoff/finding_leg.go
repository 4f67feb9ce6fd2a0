package takeoff

import (
	"slices"

	"potlife/rooms"
)

// legs looks for pieces with a part so thin that it breaks off: a leg beside an
// opening, or a bridge. The least is that of a strip. It is what a piece loses
// when it is shrunk by half the least all round and grown again.
func (f *finder) legs(z *zoneLayer, out *ZoneLayout) {
	floor := absoluteFloor(z.tiles[0])
	n, id := 0, ""
	for _, p := range out.Pieces {
		if slices.ContainsFunc(p.Cuts, func(c Cut) bool { return c.Side == "shape" }) && thinPart(p.Polygon, floor) {
			if n++; id == "" {
				id = p.Label
			}
		}
	}
	if n > 0 {
		f.add("thin leg", Warn, float64(n), floor.Millimetres(), srcPractice,
			"%s a leg or bridge thinner than %s beside a cut-out, the first is piece %s: move the origin or the opening", several(n, "piece has", "pieces have"), f.length(floor, 0, rooms.Up), id)
	}
}

// thinPart reports whether a part of p longer than least is thinner than least.
func thinPart(p rooms.Polygon, least rooms.Length) bool {
	half := make([]rooms.Length, len(p.Outer))
	for i := range half {
		half[i] = least / 2
	}
	core, err := rooms.Inset(p, half, least/2)
	if err != nil {
		return false
	}
	var grown []rooms.Polygon
	for _, c := range core {
		g, err := rooms.Grow(c, least/2)
		if err != nil {
			return false
		}
		grown = append(grown, g...)
	}
	lost, err := rooms.Subtract([]rooms.Polygon{p}, grown)
	if err != nil {
		return false
	}
	// Rounded-off corners are lost too; a leg is longer than it is thick.
	return slices.ContainsFunc(lost, func(q rooms.Polygon) bool {
		b := q.Outer.Box()
		return max(b.Width(), b.Height()) > least && q.AreaMM2() > least.Millimetres()*least.Millimetres()/4
	})
}
