package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// Where soft joints divide a long run.
//
// No field between two of them, or between one and an end, may be longer than the limit,
// and as few are made as the places allow. Of the ways to choose so many those come first
// that harm the fewest pieces, then those whose fields are most nearly equal. Both are sums
// over the joints and fields, so the best way to each place comes by the best way to one
// before it: going through the places joint by joint finds the best of all.

// longRun is a stretch of a cover that is longer than a field may be.
type longRun struct {
	upright          bool
	low, high, limit rooms.Length
}

// softPlace is a place where a soft joint may lie, and what it does to the pieces there.
type softPlace struct {
	at   rooms.Length
	harm softHarm
}

// softEnds is how far beside a soft joint its part counts for where it ends: more than what
// rounding moves a corner by.
const softEnds = rooms.Micrometre

// endsAt is the box of what of a part lies at a soft joint there: beside a step of the room
// it ends where the part does.
func (r *longRun) endsAt(part rooms.Ring, at, width rooms.Length) rooms.Box {
	reach := width/2 + softEnds
	if left := r.stretch(part, at-reach, at+reach); len(left) > 0 {
		return left.Box()
	}
	return part.Box()
}

// stretch is what of a ring lies from low to high along the run.
func (r *longRun) stretch(ring rooms.Ring, low, high rooms.Length) rooms.Ring {
	if ring = r.below(ring, high, 0); len(ring) > 0 {
		ring = r.below(ring, low, 1)
	}
	return ring
}

// below is what of a ring lies below a place along the run, or above it: on side 1.
func (r *longRun) below(ring rooms.Ring, at rooms.Length, side int) rooms.Ring {
	p, q := rooms.Point{X: at}, rooms.Point{X: at, Y: rooms.Metre} // what lies left of it has the lesser x
	if r.upright {
		p, q = rooms.Point{X: rooms.Metre, Y: at}, rooms.Point{Y: at}
	}
	if side == 1 {
		p, q = q, p
	}
	return keepLeft(ring, p, q)
}

// fewest is how many fields the run is divided into at least.
func (r *longRun) fewest() int { return int((r.high - r.low + r.limit - 1) / r.limit) }

// window is where joint k of a division into n fields may lie.
func (r *longRun) window(k, n int) (from, to rooms.Length) {
	return max(r.low+1, r.high-rooms.Length(n-k)*r.limit), min(r.high-1, r.low+rooms.Length(k)*r.limit)
}

// even is where joint k lies if all n fields are as long.
func (r *longRun) even(k, n int) rooms.Length {
	return r.low + (r.high-r.low)*rooms.Length(k)/rooms.Length(n)
}

// divideRun finds the places of the soft joints of a run over a part of the cover, and
// whether they lie in joints of the pattern. Width is that of one through the tiles.
func (z *zoneLayer) divideRun(r longRun, part int, origin rooms.Point, width rooms.Length) (at []rooms.Length, inJoint bool, err error) {
	if list := z.jointLines(&r, origin); list != nil {
		if at, ok := r.fewestOf(list); ok {
			return at, true, nil
		}
	}
	b, err := z.besideRun(&r, part, origin, width)
	if err != nil {
		return nil, false, err
	}
	n := r.fewest()
	for _, inJoint := range [2]bool{z.lay.joint > 0, false} {
		w := width
		if inJoint {
			w = z.lay.joint
		}
		layers := make([][]softPlace, n-1)
		for k := range layers {
			layers[k] = b.places(k+1, n, w, inJoint)
		}
		if at, ok := r.chain(layers); ok {
			return at, inJoint, nil
		}
	}
	for k := 1; k < n; k++ {
		at = append(at, r.even(k, n))
	}
	return at, false, nil
}

// fewestOf divides the run at as few of the places as can be; false where they lie too
// far apart.
func (r *longRun) fewestOf(list []rooms.Length) ([]rooms.Length, bool) {
	for n := r.fewest(); n <= len(list)+1; n++ {
		layers := make([][]softPlace, n-1)
		for k := range layers {
			from, to := r.window(k+1, n)
			for _, at := range list {
				if from <= at && at <= to {
					layers[k] = append(layers[k], softPlace{at: at})
				}
			}
		}
		if at, ok := r.chain(layers); ok {
			return at, true
		}
	}
	return nil, false
}

// softStep is the best way to a place: what all joints harm, and how unequal the fields are.
type softStep struct {
	harm    softHarm
	squares int64 // of the fields, in µm²
	before  int   // in the layer before
	ok      bool
}

func (s *softStep) compare(t *softStep) int {
	return cmp.Or(s.harm.compare(t.harm), cmp.Compare(s.squares, t.squares))
}

// chain takes one place of each layer; false where no such fields keep the limit.
func (r *longRun) chain(layers [][]softPlace) ([]rooms.Length, bool) {
	end := []softPlace{{at: r.high}}
	from := []softPlace{{at: r.low}}
	steps := []softStep{{ok: true}}
	var all [][]softStep
	for k := range len(layers) + 1 {
		to := end
		if k < len(layers) {
			to = layers[k]
		}
		next := make([]softStep, len(to))
		for i, p := range to {
			for b := range from {
				field := p.at - from[b].at
				if !steps[b].ok || field <= 0 || field > r.limit {
					continue
				}
				um := int64(field / rooms.Micrometre)
				s := softStep{steps[b].harm.add(p.harm), steps[b].squares + um*um, b, true}
				if !next[i].ok || s.compare(&next[i]) < 0 {
					next[i] = s
				}
			}
		}
		all = append(all, next)
		from, steps = to, next
	}
	last := all[len(layers)][0]
	if !last.ok {
		return nil, false
	}
	at := make([]rooms.Length, len(layers))
	for k, i := len(layers)-1, last.before; k >= 0; k-- {
		at[k] = layers[k][i].at
		i = all[k][i].before
	}
	return at, true
}

// jointLines are the middles of the joints that run straight across a run from side to
// side of the cover, in order; nil where the pattern is not one of rows or they do not.
func (z *zoneLayer) jointLines(r *longRun, origin rooms.Point) []rooms.Length {
	across, up, ok := z.axesOnly()
	tile := z.lay.turn.ring(z.lay.tiles[0].ring).Box()
	a, o := across, origin.X+tile.Min.X
	if r.upright {
		a, o = up, origin.Y+tile.Min.Y
	}
	if !ok || len(a.shifts) > 1 || a.joint == 0 {
		return nil
	}
	p := int64(a.size + a.joint)
	first := o - (a.joint+1)/2 // before the tile at the origin
	var list []rooms.Length
	for at := first + rooms.Length(floorDiv(int64(r.low-first), p)+1)*rooms.Length(p); at < r.high; at += rooms.Length(p) {
		list = append(list, at)
	}
	return slices.Clip(list)
}
