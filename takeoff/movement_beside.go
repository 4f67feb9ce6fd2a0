package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// softHarm is what soft joints do to pieces: how many come out too narrow to be set,
// counted with those beside which the joint gets too wide; by how many mm those under a
// third lack it, all together; the same of a half; how many cuts it takes.
type softHarm [4]int

func (h softHarm) compare(o softHarm) int { return slices.Compare(h[:], o[:]) }

func (h softHarm) add(o softHarm) softHarm {
	for i := range h {
		h[i] += o[i]
	}
	return h
}

// besideRun is what lies where soft joints may divide a run.
type besideRun struct {
	*longRun
	z      *zoneLayer
	pad    rooms.Length   // how far beside a place a tile counts
	period rooms.Length   // after which the pattern comes again, or about so
	tiles  []besideTile   // by where they begin
	long   rooms.Length   // the longest of them
	flush  []rooms.Length // sides of whole tiles that stand square to the run
}

// besideTile is a piece as a soft joint across the run may divide it.
type besideTile struct {
	low, high rooms.Length
	depth     *[2][]softHarm // of what is left of it on the low and high side, by mm
	square    bool           // its sides stand square to the run
}

// besideRun looks at all pieces of a part of the cover near the even division, for soft
// joints up to so wide.
func (z *zoneLayer) besideRun(r *longRun, part int, origin rooms.Point, widest rooms.Length) (*besideRun, error) {
	got, err := z.fill.fill(origin)
	if err != nil {
		return nil, err
	}
	u, v := z.lay.turn.apply(z.lay.u), z.lay.turn.apply(z.lay.v)
	b := &besideRun{longRun: r, z: z, pad: widest + z.lay.joint, period: absLen(r.along(u)) + absLen(r.along(v))}
	in := func(rooms.Ring) bool { return true }
	if len(z.ground.cover) > 1 { // a joint of the part crosses what lies between its ends
		in = func(ring rooms.Ring) bool {
			low, high := b.ends(ring)
			at := b.stretch(z.ground.cover[part].Outer, low-b.pad, high+b.pad)
			return len(at) > 0 && at.Box().Meets(ring.Box())
		}
	}
	whole := make([]*[2][]softHarm, len(z.lay.tiles))
	for _, run := range got.runs {
		for _, near := range b.nearOf(run) {
			for i := near.from; i <= near.to; i++ {
				ring := z.fill.tileAt(run.row, run.member, i)
				if !in(ring) {
					continue
				}
				if whole[run.member] == nil {
					whole[run.member] = b.depths(run.member, ring)
				}
				b.note(ring, whole[run.member], isBox(rooms.Polygon{Outer: ring}))
			}
		}
	}
	for _, c := range got.cuts {
		for _, q := range c.parts {
			if ring := q.outer.plain(); b.near(ring) && in(ring) {
				b.note(ring, b.depths(c.member, ring), false)
			}
		}
	}
	slices.SortFunc(b.tiles, func(x, y besideTile) int { return cmp.Compare(x.low, y.low) })
	slices.Sort(b.flush)
	b.flush = slices.Compact(b.flush)
	return b, nil
}

// along is a point's place along the run.
func (r *longRun) along(p rooms.Point) rooms.Length {
	if r.upright {
		return p.Y
	}
	return p.X
}

// ends is from where to where a ring reaches along the run.
func (r *longRun) ends(ring rooms.Ring) (low, high rooms.Length) {
	box := ring.Box()
	return r.along(box.Min), r.along(box.Max)
}

// reach is the stretch around the even division in which joint k is looked for: half a
// period to either side, so that every place of the pattern lies in it, and no further
// than keeps fields from half to one and a half times the mean.
func (b *besideRun) reach(k, n int) (from, to rooms.Length) {
	from, to = b.window(k, n)
	by := min(b.period/2, (b.high-b.low)/rooms.Length(4*n))
	return max(from, b.even(k, n)-by), min(to, b.even(k, n)+by)
}

// near reports whether a piece may lie at a soft joint.
func (b *besideRun) near(ring rooms.Ring) bool {
	low, high := b.ends(ring)
	n := b.fewest()
	for k := 1; k < n; k++ {
		if from, to := b.reach(k, n); low <= to+b.pad && high >= from-b.pad {
			return true
		}
	}
	return false
}

// nearOf are the tiles of a run of whole ones that may.
func (b *besideRun) nearOf(run tileRun) []interval {
	first := b.z.fill.tileAt(run.row, run.member, run.first)
	step := b.along(b.z.lay.turn.apply(b.z.lay.u))
	if absLen(step) < rooms.Millimetre { // it goes along the soft joints
		if b.near(first) {
			return []interval{{run.first, run.last}}
		}
		return nil
	}
	low, high := b.ends(first)
	var list []interval
	n := b.fewest()
	for k := 1; k < n; k++ {
		from, to := b.reach(k, n)
		x, y := int((from-b.pad-high)/step), int((to+b.pad-low)/step)
		near := interval{max(run.first+min(x, y)-1, run.first), min(run.first+max(x, y)+1, run.last)}
		if near.from <= near.to {
			list = append(list, near)
		}
	}
	return mergeIntervals(list)
}

// note adds a piece.
func (b *besideRun) note(ring rooms.Ring, depth *[2][]softHarm, square bool) {
	low, high := b.ends(ring)
	b.tiles, b.long = append(b.tiles, besideTile{low, high, depth, square}), max(b.long, high-low)
	if square {
		b.flush = append(b.flush, low, high)
	}
}

// depths is what is left of a piece counts for, by how many whole mm of it lie on the low
// side of a soft joint, and on the high side. What the piece itself counts for is no harm.
func (b *besideRun) depths(member int, ring rooms.Ring) *[2][]softHarm {
	own := partHarm(b.z.measurePart(member, ring))
	low, high := b.ends(ring)
	out := new([2][]softHarm)
	for side := range out {
		out[side] = make([]softHarm, (high-low)/rooms.Millimetre+1)
		for mm := range out[side] {
			h := softHarm{1, 0, 0, 1}
			if left := b.cutOff(ring, side, rooms.Length(mm)*rooms.Millimetre); len(left) > 2 {
				h = partHarm(b.z.measurePart(member, left))
				for i := range h {
					h[i] = max(h[i]-own[i], 0)
				}
				h[3] = 1
			}
			out[side][mm] = h
		}
	}
	return out
}

// cutOff is what of a piece lies up to so far from its low or high end.
func (b *besideRun) cutOff(ring rooms.Ring, side int, deep rooms.Length) rooms.Ring {
	low, high := b.ends(ring)
	at := low + deep
	if side == 1 {
		at = high - deep
	}
	return b.below(ring, at, side)
}

// partHarm is what a piece counts for.
func partHarm(m partMeasure) softHarm {
	lacks := func(share rooms.Length) int {
		d := max((m.fullW+share-1)/share-m.w, (m.fullH+share-1)/share-m.h, 0)
		return int((d + rooms.Millimetre - 1) / rooms.Millimetre)
	}
	h := softHarm{0, lacks(3), lacks(2), 0}
	if m.class() == 3 {
		h[0] = 1
	}
	return h
}

// mostPlaces is how many places are held against each other for one soft joint.
const mostPlaces = 64

// places are the best for joint k of a division into n fields, of that width; where it is
// to lie in a joint of the pattern, those where it cuts nothing.
func (b *besideRun) places(k, n int, width rooms.Length, inJoint bool) []softPlace {
	from, to := b.reach(k, n)
	even := b.even(k, n)
	var list []softPlace
	note := func(at rooms.Length) {
		if from <= at && at <= to {
			if h := b.harm(at, width); !inJoint || h == (softHarm{}) {
				list = append(list, softPlace{at, h})
			}
		}
	}
	below, above := b.halves(width)
	for _, side := range b.flush {
		note(side + below)
		note(side - above)
	}
	if !inJoint {
		note(even)
		for at := even - (even-from)/rooms.Millimetre*rooms.Millimetre; at <= to; at += rooms.Millimetre {
			note(at)
		}
	}
	slices.SortFunc(list, func(x, y softPlace) int {
		return cmp.Or(x.harm.compare(y.harm), cmp.Compare(absLen(x.at-even), absLen(y.at-even)), cmp.Compare(x.at, y.at))
	})
	list = slices.Compact(list)
	if !inJoint && len(list) > mostPlaces { // the even division always keeps the limit
		list = append(list[:mostPlaces:mostPlaces], softPlace{even, b.harm(even, width)})
	}
	return list
}

// halves is how far a soft joint reaches to either side of its line.
func (b *besideRun) halves(width rooms.Length) (below, above rooms.Length) {
	if b.upright {
		return width / 2, width - width/2
	}
	return width - width/2, width / 2
}

// harm is what a soft joint there does.
func (b *besideRun) harm(at, width rooms.Length) softHarm {
	below, above := b.halves(width)
	left, right := at-below, at+above
	joint := b.z.lay.joint
	var sum softHarm
	first, _ := slices.BinarySearchFunc(b.tiles, left-joint-b.long, func(t besideTile, at rooms.Length) int { return cmp.Compare(t.low, at) })
	for i := first; i < len(b.tiles) && b.tiles[i].low <= right+joint; i++ {
		t := &b.tiles[i]
		if t.low < left && left < t.high {
			sum = sum.add(t.depth[0][(left-t.low)/rooms.Millimetre])
		}
		if t.low < right && right < t.high {
			sum = sum.add(t.depth[1][(t.high-right)/rooms.Millimetre])
		}
		if t.square && (left > t.high+defaultJointSlack && left <= t.high+joint || right < t.low-defaultJointSlack && right >= t.low-joint) {
			sum[0]++ // the joint would be too wide beside it
		}
	}
	return sum
}
