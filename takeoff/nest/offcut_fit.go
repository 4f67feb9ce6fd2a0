package nest

import (
	"math"
	"slices"
)

// kind is a class of pieces that are interchangeable in a plan: same size, sides and turns, and same rank where
// the reach limits sharing.
type kind struct {
	piece   Piece
	poses   []pose
	pieces  []int  // indices into the problem, by rank then index
	area    int64  // (w+kerf)·(h+kerf): what it takes from (tileW+kerf)·(tileH+kerf), whatever its turn
	corners int64  // corners of the tile it needs
	mark    uint64 // its part of a group's hash
	may     uint16 // sets of sides in which it has a pose

	leastW, leastH int64 // of its poses

	copies  int     // how many fit a tile, where that is known, else 0
	smaller []int32 // kinds that fit wherever it does; nil where not looked for yet
}

// measure fills in what follows from the poses.
func (k *kind) measure(number int) {
	k.mark = mark(int32(number))
	k.leastW, k.leastH = k.poses[0].w, k.poses[0].h
	for _, o := range k.poses {
		k.leastW, k.leastH = min(k.leastW, o.w), min(k.leastH, o.h)
		for s := NoSides; s <= AllSides; s++ {
			if s.has(o.sides) {
				k.may |= 1 << s
			}
		}
	}
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

// spot is a smallest rectangle that holds a group by edge-to-edge cuts, and how it does so. Where the rectangle has
// both of two opposite factory sides, that length is the tile's.
type spot struct {
	w, h int64
	part split // left and right, or bottom and top
	a, b int32 // spots of the parts
	cut  cutWay
	pose uint8 // leaf: index into the kind's poses
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
	area       int64 // of a tile, as a kind's
	kinds      []kind
	table      groupTable
	pairs      []*group // by two kinds, where these are few
	steps      int64

	runs          []kindRun // scratch of a split
	first, second portion
	splits        []split
}

// mostPaired is the number of kinds up to which a table of pairs is kept.
const mostPaired = 1_000

func newFitter(p *OffcutProblem, kinds []kind) *fitter {
	f := &fitter{w: p.TileW, h: p.TileH, kerf: p.Kerf, area: (p.TileW + p.Kerf) * (p.TileH + p.Kerf), kinds: kinds,
		table: groupTable{byHash: map[uint64]*group{}}}
	for i := range kinds {
		kinds[i].measure(i)
	}
	if n := len(kinds); n <= mostPaired {
		f.pairs = make([]*group, n*n)
	}
	return f
}

// pair is the group of two pieces.
func (f *fitter) pair(a, b int32) *group {
	if a > b {
		a, b = b, a
	}
	if f.pairs == nil {
		return f.group([]int32{a, b})
	}
	at := &f.pairs[int(a)*len(f.kinds)+int(b)]
	if *at == nil {
		*at = f.group([]int32{a, b})
	}
	return *at
}

// mostCopies is the number of like pieces up to which it is looked at whether a tile holds them.
const mostCopies = 5

// copies is how many pieces of a kind a tile holds at most; a great number where that is not known.
func (f *fitter) copies(k int32) int {
	q := &f.kinds[k]
	if q.copies > 0 {
		return q.copies
	}
	q.copies = math.MaxInt32
	tile := holder{f.w, f.h, AllSides, 0}
	g := f.group([]int32{k})
	for n := 1; n < mostCopies; n++ {
		if g = f.with(g, k); !f.holds(g, tile) {
			if !g.partial {
				q.copies = n
			}
			break
		}
	}
	return q.copies
}

// smaller lists the kinds that need the same sides in the same turns as kind k and are no larger.
func (f *fitter) smaller(k int32) []int32 {
	q := &f.kinds[k]
	if q.smaller == nil {
		q.smaller = []int32{}
		for i := range f.kinds {
			p := &f.kinds[i].piece
			if int32(i) != k && p.Factory == q.piece.Factory && p.Turns == q.piece.Turns && p.W <= q.piece.W && p.H <= q.piece.H &&
				(p.W < q.piece.W || p.H < q.piece.H) {
				q.smaller = append(q.smaller, int32(i))
			}
		}
	}
	return q.smaller
}

// fits gives the smallest rectangles for a group in a place that offers the sides. In a place with all sides, which is a
// tile, there is one at most.
func (f *fitter) fits(g *group, sides Sides) []spot {
	bit := uint16(1) << sides
	if g.known&bit != 0 || g.may&bit == 0 {
		if g.at[sides] == 0 {
			return nil
		}
		return g.fronts[g.at[sides]-1]
	}
	var front []spot
	switch {
	case len(g.members) == 1:
		front = f.leafSpots(int(g.members[0]), sides)
	case f.pairsFit(g, sides):
		if !g.parted {
			g.splits, g.parted = f.split(g), true
		}
		front = f.cutSpots(g, sides)
	}
	g.known |= bit
	if len(front) > 0 {
		g.fronts = append(g.fronts, front)
		g.at[sides] = uint8(len(g.fronts))
	}
	return front
}

// pairsFit reports whether every two pieces of a group fit a place of these sides.
func (f *fitter) pairsFit(g *group, sides Sides) bool {
	if len(g.members) < 3 {
		return true
	}
	for i, a := range g.members {
		for _, b := range g.members[i+1:] {
			if len(f.fits(f.pair(a, b), sides)) == 0 {
				return false
			}
		}
	}
	return true
}

// leafSpots places one piece.
func (f *fitter) leafSpots(k int, sides Sides) []spot {
	var front []spot
	for i, o := range f.kinds[k].poses {
		f.steps++
		if sides.has(o.sides) {
			front = addSpot(front, f.stretch(spot{w: o.w, h: o.h, pose: uint8(i)}, sides))
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

// cutSpots joins the parts of a group side by side and one above the other. What is as large as the tile is the only
// one of its kind: one is enough.
func (f *fitter) cutSpots(g *group, sides Sides) []spot {
	var front []spot
	for _, part := range g.splits {
		if front = f.joinUpright(front, part, sides); sides != AllSides || len(front) == 0 {
			front = f.joinLevel(front, part, sides)
		}
		g.partial = g.partial || part.a.partial || part.b.partial
		if sides == AllSides && len(front) > 0 {
			break
		}
	}
	return front
}

// joinUpright lays two parts side by side. Of those that come out no taller than some height only the narrowest of each
// part together are worth keeping: from the tallest and narrowest of both the taller is exchanged for the next, step by
// step.
func (f *fitter) joinUpright(front []spot, part split, sides Sides) []spot {
	as, bs := f.bothFit(part, sides&^Right, sides&^Left)
	for i, j := 0, 0; i < len(as) && j < len(bs); {
		f.steps += 2
		a, b := &as[i], &bs[j]
		w := a.w + f.kerf + b.w
		if w > f.w {
			break
		}
		front = addSpot(front, f.stretch(spot{w: w, h: max(a.h, b.h), cut: upright, part: part, a: int32(i), b: int32(j)}, sides))
		if sides.has(Bottom | Top) { // stretched to one height: the narrowest is the best
			break
		}
		if a.h >= b.h {
			i++
		}
		if b.h >= a.h {
			j++
		}
	}
	return front
}

// joinLevel lays one part above the other: joinUpright with width and height exchanged.
func (f *fitter) joinLevel(front []spot, part split, sides Sides) []spot {
	as, bs := f.bothFit(part, sides&^Top, sides&^Bottom)
	for i, j := len(as)-1, len(bs)-1; i >= 0 && j >= 0; {
		f.steps += 2
		a, b := &as[i], &bs[j]
		h := a.h + f.kerf + b.h
		if h > f.h {
			break
		}
		front = addSpot(front, f.stretch(spot{w: max(a.w, b.w), h: h, cut: level, part: part, a: int32(i), b: int32(j)}, sides))
		if sides.has(Left | Right) {
			break
		}
		if a.w >= b.w {
			i--
		}
		if b.w >= a.w {
			j--
		}
	}
	return front
}

// bothFit gives the rectangles of two parts where there are some for each.
func (f *fitter) bothFit(part split, a, b Sides) (as, bs []spot) {
	if !has(part.a.may, a) || !has(part.b.may, b) {
		return nil, nil
	}
	if as = f.fits(part.a, a); len(as) == 0 {
		return nil, nil
	}
	return as, f.fits(part.b, b)
}

// addSpot keeps the rectangles none of which holds another, the narrowest and tallest first.
func addSpot(front []spot, s spot) []spot {
	at := len(front)
	for at > 0 && front[at-1].w > s.w {
		at--
	}
	if at > 0 && front[at-1].h <= s.h {
		return front
	}
	from, to := at, at // those that hold s
	if at > 0 && front[at-1].w == s.w {
		from--
	}
	for to < len(front) && front[to].h >= s.h {
		to++
	}
	if from == to {
		return slices.Insert(front, at, s)
	}
	front[from] = s
	return slices.Delete(front, from+1, to)
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
		if !f.partUnfit(g) && len(f.fits(g, AllSides)) > 0 {
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

// partUnfit reports whether a group is known to fit no tile because it fits none with a piece less.
func (f *fitter) partUnfit(g *group) bool {
	if len(g.members) < 4 { // pairs are looked at by fits
		return false
	}
	for i := range g.members {
		if i > 0 && g.members[i] == g.members[i-1] {
			continue
		}
		if e := f.without(g, i); e != nil && e.inTile == 1 && !e.partial {
			return true
		}
	}
	return false
}

// within reports whether the ranks of a group lie within the reach.
func (f *fitter) within(g *group, reach int) bool {
	low, high := f.kinds[g.members[0]].piece.Rank, f.kinds[g.members[0]].piece.Rank
	for _, k := range g.members[1:] {
		low, high = min(low, f.kinds[k].piece.Rank), max(high, f.kinds[k].piece.Rank)
	}
	return high-low <= reach
}
