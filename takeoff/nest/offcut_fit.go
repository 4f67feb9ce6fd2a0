package nest

import "encoding/binary"

// kind is a class of pieces that are interchangeable in a plan: same size, sides and turns, and same rank where
// the reach limits sharing.
type kind struct {
	piece   Piece
	poses   []pose
	pieces  []int // indices into the problem, by rank then index
	area    int64 // (w+kerf)·(h+kerf): what it takes from (tileW+kerf)·(tileH+kerf), whatever its turn
	corners int64 // corners of the tile it needs
}

// pose is a piece in one allowed turn.
type pose struct {
	w, h  int64
	sides Sides
	turn  Turn
}

// poses lists the turns in which a piece can lie in a tile at all, without repeating equal ones.
func (p *OffcutProblem) poses(q Piece) []pose {
	turns := q.Turns
	if turns == 0 {
		turns = Turn0
	}
	var list []pose
	for n := range 4 {
		if turns&(1<<n) == 0 {
			continue
		}
		o := pose{q.W, q.H, q.Factory.turned(n), 1 << n}
		if n&1 == 1 {
			o.w, o.h = q.H, q.W
		}
		if o.w > p.TileW || o.h > p.TileH ||
			o.sides.has(Left|Right) && o.w != p.TileW || o.sides.has(Bottom|Top) && o.h != p.TileH {
			continue
		}
		same := false
		for _, e := range list {
			same = same || e.w == o.w && e.h == o.h && e.sides == o.sides
		}
		if !same {
			list = append(list, o)
		}
	}
	return list
}

// group is a multiset of kinds that share one tile, with what is known about fitting it.
type group struct {
	members []int32          // kind indices, ascending, repeated
	more    map[int32]*group // the group and one more of a kind, as far as asked for
	inTile  int8             // whether it fits a new tile, the reach apart: 0 not known, 1 no, 2 yes
	splits  []split          // ways to part it in two, found when first needed
	partial bool             // not every way was looked at, so that "does not fit" is not proved
	fits    [16][]spot       // by set of factory sides: smallest rectangles that hold the group
	known   [16]bool         // which of fits have been computed
}

type split struct{ a, b *group }

// spot is a smallest rectangle that holds a group by edge-to-edge cuts, and how it does so. Where the rectangle has
// both of two opposite factory sides, that length is the tile's.
type spot struct {
	w, h int64
	cut  cutWay
	pose int   // leaf: index into the kind's poses
	part split // otherwise: left and right, or bottom and top
	a, b int   // spots of the parts
}

type cutWay uint8

const (
	noCut   cutWay = iota
	upright        // parts lie left and right of the cut
	level          // parts lie below and above the cut
)

// fitter answers whether groups of kinds fit a rectangle, and remembers.
type fitter struct {
	w, h, kerf int64
	kinds      []kind
	groups     map[string]*group
	steps      int64
	key        []byte
}

func newFitter(p *OffcutProblem, kinds []kind) *fitter {
	return &fitter{w: p.TileW, h: p.TileH, kerf: p.Kerf, kinds: kinds, groups: map[string]*group{}}
}

// group finds or makes the group of these members (ascending).
func (f *fitter) group(members []int32) *group {
	f.key = f.key[:0]
	for _, m := range members {
		f.key = binary.LittleEndian.AppendUint32(f.key, uint32(m))
	}
	if g, ok := f.groups[string(f.key)]; ok {
		return g
	}
	g := &group{members: append([]int32(nil), members...)}
	f.groups[string(f.key)] = g
	return g
}

// fits gives the smallest rectangles for a group in a place that offers the sides.
func (f *fitter) fits(g *group, sides Sides) []spot {
	if g.known[sides] {
		return g.fits[sides]
	}
	var front []spot
	if len(g.members) == 1 {
		front = f.leafSpots(int(g.members[0]), sides)
	} else {
		if g.splits == nil {
			g.splits = f.split(g)
		}
		front = f.cutSpots(g, sides)
	}
	g.fits[sides], g.known[sides] = front, true
	return front
}

// leafSpots places one piece.
func (f *fitter) leafSpots(k int, sides Sides) []spot {
	var front []spot
	for i, o := range f.kinds[k].poses {
		f.steps++
		if sides.has(o.sides) {
			front = addSpot(front, f.stretch(spot{w: o.w, h: o.h, pose: i}, sides))
		}
	}
	return front
}

// stretch gives a spot the tile's length where the place runs from factory side to factory side.
func (f *fitter) stretch(s spot, sides Sides) spot {
	if sides.has(Left | Right) {
		s.w = max(s.w, f.w)
	}
	if sides.has(Bottom | Top) {
		s.h = max(s.h, f.h)
	}
	return s
}

// cutSpots joins the parts of a group side by side and one above the other.
func (f *fitter) cutSpots(g *group, sides Sides) []spot {
	var front []spot
	for _, part := range g.splits {
		front = f.joinUpright(front, part, sides)
		front = f.joinLevel(front, part, sides)
		g.partial = g.partial || part.a.partial || part.b.partial
	}
	return front
}

func (f *fitter) joinUpright(front []spot, part split, sides Sides) []spot {
	as := f.fits(part.a, sides&^Right)
	if len(as) == 0 {
		return front
	}
	bs := f.fits(part.b, sides&^Left)
	for i, a := range as {
		for j, b := range bs {
			f.steps++
			s := spot{w: a.w + f.kerf + b.w, h: max(a.h, b.h), cut: upright, part: part, a: i, b: j}
			if s.w <= f.w {
				front = addSpot(front, f.stretch(s, sides))
			}
		}
	}
	return front
}

func (f *fitter) joinLevel(front []spot, part split, sides Sides) []spot {
	as := f.fits(part.a, sides&^Top)
	if len(as) == 0 {
		return front
	}
	bs := f.fits(part.b, sides&^Bottom)
	for i, a := range as {
		for j, b := range bs {
			f.steps++
			s := spot{w: max(a.w, b.w), h: a.h + f.kerf + b.h, cut: level, part: part, a: i, b: j}
			if s.h <= f.h {
				front = addSpot(front, f.stretch(s, sides))
			}
		}
	}
	return front
}

// addSpot keeps the rectangles none of which holds another.
func addSpot(front []spot, s spot) []spot {
	for _, e := range front {
		if e.w <= s.w && e.h <= s.h {
			return front
		}
	}
	kept := front[:0]
	for _, e := range front {
		if e.w < s.w || e.h < s.h {
			kept = append(kept, e)
		}
	}
	return append(kept, s)
}

// maxSplits bounds the ways to part one group; groups with more (many small strips of many sizes) are parted in fewer
// ways and marked partial.
const maxSplits = 1 << 7

// split lists the ways to part the group in two that are not empty, in both orders: all of them where they are not too
// many.
func (f *fitter) split(g *group) []split {
	var list []split
	ways := 1
	for i, j := 0, 0; i < len(g.members) && ways <= maxSplits; i = j {
		for j = i; j < len(g.members) && g.members[j] == g.members[i]; j++ {
		}
		ways *= j - i + 1
	}
	if ways <= maxSplits {
		list = f.allSplits(g.members)
	} else {
		list, g.partial = f.someSplits(g.members), true
	}
	f.steps += int64(4 * len(list))
	return list
}

// someSplits parts the list of members at one place, largest pieces on one side: the groups that come of it are stretches
// of the list, so that few have to be looked at in all.
func (f *fitter) someSplits(members []int32) []split {
	list := make([]split, 0, 2*len(members))
	for i := 1; i < len(members); i++ {
		a, b := f.group(members[:i]), f.group(members[i:])
		list = append(list, split{a, b}, split{b, a})
	}
	return list
}

// allSplits walks over how many of each kind go into the first part.
func (f *fitter) allSplits(members []int32) []split {
	var (
		list []split
		a, b []int32
	)
	var walk func(i int)
	walk = func(i int) {
		if i == len(members) {
			if len(a) > 0 && len(b) > 0 {
				list = append(list, split{f.group(a), f.group(b)})
			}
			return
		}
		end := i
		for end < len(members) && members[end] == members[i] {
			end++
		}
		na, nb := len(a), len(b)
		for take := 0; take <= end-i; take++ {
			a = append(a[:na], members[i:i+take]...)
			b = append(b[:nb], members[i+take:end]...)
			walk(end)
		}
		a, b = a[:na], b[:nb]
	}
	walk(0)
	return list
}

// holder is a tile or a stock offcut that pieces are cut from.
type holder struct {
	w, h  int64
	sides Sides
	reach int // limit on the distance of ranks inside it, 0 for none
}

// spotIn finds how a group lies in a holder, or ok=false.
func (f *fitter) spotIn(g *group, in holder) (s spot, ok bool) {
	if in.reach > 0 && !f.within(g, in.reach) {
		return spot{}, false
	}
	for _, s := range f.fits(g, in.sides) {
		if s.w <= in.w && s.h <= in.h {
			return s, true
		}
	}
	return spot{}, false
}

// holds reports whether a group fits a holder. What does not fit a new tile fits no offcut.
func (f *fitter) holds(g *group, in holder) bool {
	if g.inTile == 0 {
		g.inTile = 1
		if len(f.fits(g, AllSides)) > 0 {
			g.inTile = 2
		}
	}
	if g.inTile == 1 {
		return false
	}
	if in.sides == AllSides {
		return in.reach == 0 || f.within(g, in.reach)
	}
	_, ok := f.spotIn(g, in)
	return ok
}

// within reports whether the ranks of a group lie within the reach.
func (f *fitter) within(g *group, reach int) bool {
	low, high := f.kinds[g.members[0]].piece.Rank, f.kinds[g.members[0]].piece.Rank
	for _, k := range g.members[1:] {
		low, high = min(low, f.kinds[k].piece.Rank), max(high, f.kinds[k].piece.Rank)
	}
	return high-low <= reach
}
