package nest

import "slices"

// group is a multiset of kinds that share one tile, with what is known about fitting it.
type group struct {
	members []int32  // kind indices, ascending, repeated
	hash    uint64   // sum of the members' marks
	same    *group   // next group of the same hash
	splits  []split  // ways to part it in two, found when first needed
	fronts  [][]spot // smallest rectangles that hold the group; those of a set of sides are number at[sides]-1
	at      [16]uint8
	may     uint16 // by set of factory sides: a place that offers them is not yet known to be unfit
	known   uint16 // by set of factory sides: the smallest rectangles have been computed
	inTile  int8   // whether it fits a new tile, the reach apart: 0 not known, 1 no, 2 yes
	parted  bool   // splits have been found
	partial bool   // not every way was looked at, so that "does not fit" is not proved
}

// groupTable finds groups by their members. A group's hash is a sum over its members, so that those of a group with
// a piece more, a piece less, or of the other part of a split follow at once.
type groupTable struct {
	byHash map[uint64]*group
	slab   []group // groups not handed out yet
	made   int     // how many of the last slab
	spell  []int32 // for spelling out members that are only looked up
}

// groupSteps is what a new group counts in the budget.
const groupSteps = 50

// Groups are made few at a time at first, as many as a strip of cuts takes, and then
// more.
const (
	firstGroups = 8
	slabGroups  = 128
)

// mark is the part of a kind in a group's hash: a fixed scramble of its number (Steele, Lea and Flood 2014, SplitMix).
func mark(kind int32) uint64 {
	z := (uint64(kind) + 1) * 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// find gives the group of these members (ascending), or nil where nobody asked for it yet.
func (t *groupTable) find(hash uint64, members []int32) *group {
	for g := t.byHash[hash]; g != nil; g = g.same {
		if slices.Equal(g.members, members) {
			return g
		}
	}
	return nil
}

// group finds or makes the group of these members (ascending).
func (f *fitter) group(members []int32) *group {
	var hash uint64
	for _, k := range members {
		hash += mark(k)
	}
	return f.hashed(hash, members)
}

// hashed is group where the hash is known.
func (f *fitter) hashed(hash uint64, members []int32) *group {
	if g := f.table.find(hash, members); g != nil {
		return g
	}
	f.steps += groupSteps
	t := &f.table
	g := t.take()
	g.members, g.hash, g.same = slices.Clone(members), hash, t.byHash[hash]
	t.byHash[hash] = g
	g.may = f.mayOf(members)
	return g
}

// take hands out a group.
func (t *groupTable) take() *group {
	if len(t.slab) == 0 {
		t.made = min(max(2*t.made, firstGroups), slabGroups)
		t.slab = make([]group, t.made)
	}
	g := &t.slab[0]
	t.slab = t.slab[1:]
	return g
}

// with is the group and one more piece; g may be nil.
func (f *fitter) with(g *group, k int32) *group {
	if g == nil {
		return f.group([]int32{k})
	}
	at, _ := slices.BinarySearch(g.members, k)
	f.table.spell = append(append(append(f.table.spell[:0], g.members[:at]...), k), g.members[at:]...)
	return f.hashed(g.hash+mark(k), f.table.spell)
}

// without gives the group less its member number i, or nil where nobody asked for it yet.
func (f *fitter) without(g *group, i int) *group {
	f.table.spell = append(append(f.table.spell[:0], g.members[:i]...), g.members[i+1:]...)
	return f.table.find(g.hash-mark(g.members[i]), f.table.spell)
}

// exchanged is the group less its members number a and b, which may be the same, and with a piece of kind k.
func (f *fitter) exchanged(g *group, a, b int, k int32) *group {
	hash := g.hash + mark(k) - mark(g.members[a])
	if b != a {
		hash -= mark(g.members[b])
	}
	list, put := f.table.spell[:0], false
	for i, m := range g.members {
		if !put && m >= k {
			list, put = append(list, k), true
		}
		if i != a && i != b {
			list = append(list, m)
		}
	}
	if !put {
		list = append(list, k)
	}
	f.table.spell = list
	return f.hashed(hash, list)
}

// mayOf gives the sets of sides that a group could do with, as far as its pieces tell one by one: each must find its sides
// there, together they take no more corners than there are, and they are no larger than a tile.
func (f *fitter) mayOf(members []int32) uint16 {
	may := ^uint16(0)
	var needed, area int64
	for _, k := range members {
		may &= f.kinds[k].may
		needed += f.kinds[k].corners
		area += f.kinds[k].area
	}
	if area > f.area {
		return 0
	}
	return may & sidesWithCorners(needed)
}

// sidesWithCorners gives the sets of sides that have so many corners at least.
func sidesWithCorners(n int64) uint16 {
	switch {
	case n <= 0:
		return ^uint16(0)
	case n <= 4:
		return cornerMasks[n-1]
	}
	return 0
}

var cornerMasks = func() (masks [4]uint16) {
	for s := NoSides; s <= AllSides; s++ {
		for n := range corners(s) {
			masks[n] |= 1 << s
		}
	}
	return masks
}()
