package takeoff

import (
	"fmt"

	"potlife/rooms"
)

// origin chooses where cell 0, 0 of the zone's lattice goes, and says why.
func (z *zoneLayer) origin(s *rooms.Surface) (rooms.Point, string, error) {
	if lock, ok := z.in.Locks[z.key]; ok {
		return lock.Origin, "kept as issued", nil
	}
	d := z.ground.zone.Datum
	if z.carried != nil {
		return z.carried.origin, z.carried.why, nil
	}
	for _, policy := range []string{d.Across, d.Up} {
		switch policy {
		case "", rooms.Best, rooms.OnJoint, rooms.OnTile, rooms.FullLeft, rooms.FullRight, rooms.FullLow, rooms.FullHigh, rooms.At:
		default:
			return rooms.Point{}, "", fmt.Errorf("datum %q is none of best, on joint, on tile, full left, full right, full low, full high, at, carry round", policy)
		}
	}
	across, upward, independent := z.axes(s)
	if !independent && (bestWanted(d.Across) || bestWanted(d.Up)) {
		return z.searchOrigin(s, d)
	}
	b := rooms.BoxOf(z.ground.cover)
	tile := z.lay.turn.ring(z.lay.tiles[0].ring).Box()
	x, whyX := z.along(&across, d.Across, rooms.FullLeft, rooms.FullRight, b.Min.X, b.Max.X, tile.Width(), d.X+tile.Min.X)
	y, whyY := rooms.Length(0), ""
	if z.level != nil && bestWanted(d.Up) {
		y, whyY = z.level.o, z.level.why
	} else {
		y, whyY = z.along(&upward, d.Up, rooms.FullLow, rooms.FullHigh, b.Min.Y, b.Max.Y, tile.Height(), d.Y+tile.Min.Y)
	}
	return rooms.Point{X: x - tile.Min.X, Y: y - tile.Min.Y}, "across: " + whyX + "; up: " + whyY, nil
}

func bestWanted(policy string) bool { return policy == "" || policy == rooms.Best }

// along chooses where a tile's low side goes along one axis.
func (z *zoneLayer) along(a *axis, policy, fullLow, fullHigh string, low, high, size, at rooms.Length) (rooms.Length, string) {
	if bestWanted(policy) {
		list := a.best()
		return list[0].o, a.words(list[0].o)
	}
	return axisOrigin(policy, fullLow, fullHigh, low, high, size, z.lay.joint, at)
}

// axisOrigin places the box of a tile of the given size along one axis of a run
// from low to high.
func axisOrigin(policy, fullLow, fullHigh string, low, high, size, joint, at rooms.Length) (rooms.Length, string) {
	middle := low + (high-low)/2
	switch policy {
	case rooms.At:
		return at, "origin given"
	case fullLow:
		return low, "a full tile from the lower end"
	case fullHigh:
		return high - size, "a full tile from the upper end"
	case rooms.OnJoint:
		return middle + joint/2, "a joint on the centre line"
	}
	return middle - size/2, "a tile on the centre line"
}

// BalancedCut divides a usable run into n whole tiles and two equal end cuts of
// at least half a tile: the cut is (run − n·tile − (n+1)·joint)/2. A run that
// takes no such cuts, because it is shorter than a tile and a half, gives n = 0
// and what there is. Of all n exactly one gives a cut from half a tile to a tile
// and half a joint.
func BalancedCut(run, tile, joint rooms.Length) (n int, end rooms.Length) {
	for n = int(run / (tile + joint)); n >= 0; n-- {
		end = (run - rooms.Length(n)*tile - rooms.Length(n+1)*joint) / 2
		if 2*end >= tile {
			return n, end
		}
	}
	return 0, max(end, 0)
}

// lines gives the level line and the plumb line the field starts from: the
// lower and the left side of the first full course and column, as far as the
// pattern has such; else those of cell 0, 0.
func (z *zoneLayer) lines(out *ZoneLayout) {
	out.LevelLine, out.Plumb = out.Origin.Y, out.Origin.X
	if !z.lay.turn.square() {
		return
	}
	first := true
	for _, p := range out.Pieces {
		if !p.Full {
			continue
		}
		b := p.Polygon.Outer.Box()
		if first || b.Min.Y < out.LevelLine {
			out.LevelLine = b.Min.Y
		}
		if first || b.Min.X < out.Plumb {
			out.Plumb = b.Min.X
		}
		first = false
	}
}
