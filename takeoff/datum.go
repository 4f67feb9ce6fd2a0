package takeoff

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// origin chooses where cell 0, 0 of the zone's lattice goes, and says why.
func (z *zoneLayer) origin(s *rooms.Surface) (rooms.Point, string, error) {
	if lock, ok := z.in.Locks[z.key]; ok {
		return lock.Origin, "kept as issued", nil
	}
	if z.common != nil {
		return z.takeCommon()
	}
	d := z.ground.zone.Datum
	if z.carried != nil {
		return z.carried.origin, z.carried.why, z.ownPlaces(s)
	}
	if err := checkDatum(d); err != nil {
		return rooms.Point{}, "", err
	}
	if !z.lay.turn.square() && d.Across == rooms.OnJoint && d.Up == rooms.OnJoint {
		d.Up = rooms.OnTile // a tile on its corner: joints cross beside its middle
	}
	across, upward, independent := z.axes(s)
	if (!independent || z.foldsAcross()) && (bestWanted(d.Across) || bestWanted(d.Up)) {
		return z.searchOrigin(s, d)
	}
	b := rooms.BoxOf(z.ground.cover)
	tile := z.lay.turn.ring(z.lay.tiles[0].ring).Box()
	xs := z.along(&across, d.Across, rooms.FullLeft, rooms.FullRight, b.Min.X, b.Max.X, tile.Width(), d.X+tile.Min.X)
	var ys []choice
	if z.level != nil && bestWanted(d.Up) {
		ys = []choice{{o: z.level.o, why: z.level.why}}
	} else {
		ys = z.along(&upward, d.Up, rooms.FullLow, rooms.FullHigh, b.Min.Y, b.Max.Y, tile.Height(), d.Y+tile.Min.Y)
	}
	for i := range xs {
		xs[i].shift(-tile.Min.X)
	}
	for i := range ys {
		ys[i].shift(-tile.Min.Y)
	}
	tie, err := z.settle(&xs[0], &ys[0])
	if err != nil {
		return rooms.Point{}, "", err
	}
	won, err := z.pairUp(xs, ys)
	if err != nil {
		return rooms.Point{}, "", err
	}
	won += axesDecidedBy(&across, &upward, rooms.Point{X: xs[0].o + tile.Min.X, Y: ys[0].o + tile.Min.Y},
		[2]bool{bestWanted(d.Across), bestWanted(d.Up) && z.level == nil})
	return rooms.Point{X: xs[0].o, Y: ys[0].o}, both(xs[0], ys[0]) + won + tie + z.declined, nil
}

// checkDatum refuses policies that do not exist.
func checkDatum(d rooms.Datum) error {
	for _, policy := range []string{d.Across, d.Up} {
		switch policy {
		case "", rooms.Best, rooms.OnJoint, rooms.OnTile, rooms.FullLeft, rooms.FullRight, rooms.FullLow, rooms.FullHigh, rooms.At:
		default:
			return fmt.Errorf("datum %q is none of best, on joint, on tile, full left, full right, full low, full high, at, carry round", policy)
		}
	}
	return nil
}

// ownPlaces notes the best places of a wall that was carried round instead.
func (z *zoneLayer) ownPlaces(s *rooms.Surface) error {
	across, _, ok := z.axes(s)
	if !ok {
		return nil
	}
	tile := z.lay.turn.ring(z.lay.tiles[0].ring).Box()
	for _, c := range z.along(&across, rooms.Best, rooms.FullLeft, rooms.FullRight, 0, 0, tile.Width(), 0) {
		at := rooms.Point{X: c.o - tile.Min.X, Y: z.carried.origin.Y}
		if len(z.runners) < 3 && z.farFrom(at, z.carried.origin) {
			if err := z.runnerUp(at, "its own best across: "+c.why); err != nil {
				return err
			}
		}
	}
	return nil
}

// settle moves the two best choices to those of their equals that buy least.
func (z *zoneLayer) settle(x, y *choice) (string, error) {
	list := []rooms.Point{{X: x.o, Y: y.o}}
	for _, e := range x.equal {
		list = append(list, rooms.Point{X: e.o, Y: y.o})
	}
	for _, e := range y.equal {
		list = append(list, rooms.Point{X: x.o, Y: e.o})
	}
	k, why, err := z.breakTie(list)
	switch n := len(x.equal); {
	case err != nil || k == 0:
	case k <= n:
		*x = x.equal[k-1]
	default:
		*y = y.equal[k-1-n]
	}
	return why, err
}

// choice is a place along one axis with how good it is.
type choice struct {
	o      rooms.Length
	why    string
	rank   axisRank
	beside bool     // no place of its own, but next to one
	equal  []choice // other places that only a tie-break tells from it
}

func (c *choice) shift(d rooms.Length) {
	c.o += d
	for i := range c.equal {
		c.equal[i].o += d
	}
}

func both(x, y choice) string { return "across: " + x.why + "; up: " + y.why }

func bestWanted(policy string) bool { return policy == "" || policy == rooms.Best }

// along lists where a tile's low side may go along one axis, the best first: the
// others are what the runners-up are made of.
func (z *zoneLayer) along(a *axis, policy, fullLow, fullHigh string, low, high, size, at rooms.Length) []choice {
	if !bestWanted(policy) {
		switch policy {
		case fullLow:
			low = atSide(a.edges, low, true)
		case fullHigh:
			high = atSide(a.edges, high, false)
		}
		o, why := axisOrigin(policy, fullLow, fullHigh, low, high, size, z.lay.joint, at)
		if !z.lay.turn.square() { // no side lies along the edge: its lowest corner does
			why = strings.Replace(why, "a full tile from", "a whole tile with its corner at", 1)
		}
		return []choice{{o: o, why: why}}
	}
	list := a.best()
	place := func(r rankedOffset) choice { return choice{o: r.o, why: a.words(r.o, z.figures()), rank: r.rank} }
	out := []choice{place(list[0])}
	for _, r := range tied(list)[1:] {
		out[0].equal = append(out[0].equal, place(r))
	}
	others, near := a.others(list)
	for i, r := range others {
		c := place(r)
		c.beside = i >= near
		out = append(out, c)
	}
	return out
}

// distinct is how far apart two origins must be to be shown as two.
const distinct = 5 * rooms.Millimetre

// pairUp notes the next three pairs after the first as runners-up, each of another
// rank, and says by what the first is ahead of the next.
func (z *zoneLayer) pairUp(xs, ys []choice) (string, error) {
	var list []choicePair
	for _, x := range xs {
		for _, y := range ys {
			q := choicePair{x: x, y: y}
			for n := range q.rank {
				q.rank[n] = x.rank[n] + y.rank[n]
			}
			list = append(list, q)
		}
	}
	first := list[0]
	slices.SortStableFunc(list, func(a, b choicePair) int {
		return cmp.Or(compareBool(b.beside(), a.beside()), a.rank.compare(b.rank))
	})
	ahead, named := "", []choicePair{first}
	for _, q := range list {
		if slices.ContainsFunc(named, func(o choicePair) bool { return o.rank.ties(q.rank) }) {
			continue
		}
		if len(named) == 1 {
			ahead = first.rank.ahead(q.rank)
		}
		if err := z.runnerUp(rooms.Point{X: q.x.o, Y: q.y.o}, both(q.x, q.y)); err != nil {
			return "", err
		}
		if named = append(named, q); len(named) == 4 {
			break
		}
	}
	return ahead, nil
}

// choicePair is a place along both axes.
type choicePair struct {
	x, y choice
	rank axisRank
}

func (q *choicePair) beside() bool { return q.x.beside || q.y.beside }

// runnerUp counts the pieces of an origin that lost.
func (z *zoneLayer) runnerUp(at rooms.Point, why string) error {
	got, err := z.fill.fill(at)
	if err != nil {
		return err
	}
	c := z.fill.count(got)
	z.runners = append(z.runners, RunnerUp{Origin: at, Why: why, Full: c.Full, Cut: c.Cut})
	return nil
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
