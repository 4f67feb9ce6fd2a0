package nest

import "slices"

// split is a way to part a group in two: left and right of a cut, or below and above.
type split struct{ a, b *group }

// maxSplits bounds the ways to part one group; groups with more (many small strips of many sizes) are parted in fewer
// ways and marked partial.
const maxSplits = 1 << 8

// split lists the ways to part the group in two that are not empty, in both orders: all that could lead to a place for it
// where they are not too many.
func (f *fitter) split(g *group) []split {
	ways := 1
	for i, j := 0, 0; i < len(g.members) && ways <= maxSplits; i = j {
		j = run(g.members, i)
		ways *= j - i + 1
	}
	var list []split
	if ways <= maxSplits {
		list = f.allSplits(g, ways)
	} else {
		list, g.partial = f.someSplits(g.members), true
	}
	f.steps += int64(4 * len(list))
	return list
}

// run is where the equal members from i on end.
func run(members []int32, i int) int {
	j := i + 1
	for j < len(members) && members[j] == members[i] {
		j++
	}
	return j
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

// allSplits walks over how many of each kind go into the first part. The walk is its own mirror image: what is left for
// the second part of way number i is the first part of way number ways-1-i.
func (f *fitter) allSplits(g *group, ways int) []split {
	runs := f.runs[:0]
	for i, j := 0, 0; i < len(g.members); i = j {
		j = run(g.members, i)
		runs = append(runs, kindRun{kind: g.members[i], count: j - i})
	}
	list, mirrored := f.splits[:0], 0
	for way := 1; 2*way <= ways-1; way++ {
		for i, rest := len(runs)-1, way; i >= 0; i-- { // the last run counts fastest
			runs[i].take = rest % (runs[i].count + 1)
			rest /= runs[i].count + 1
		}
		f.first.clear()
		f.second.clear()
		for _, r := range runs {
			f.first.add(&f.kinds[r.kind], r.kind, r.take)
			f.second.add(&f.kinds[r.kind], r.kind, r.count-r.take)
		}
		if !f.promising(&f.first, &f.second) {
			continue
		}
		list = append(list, split{f.hashed(f.first.hash, f.first.members), f.hashed(f.second.hash, f.second.members)})
		if 2*way < ways-1 {
			mirrored = len(list)
		}
	}
	for i := mirrored - 1; i >= 0; i-- {
		list = append(list, split{list[i].b, list[i].a})
	}
	f.runs, f.splits = runs, list
	return slices.Clone(list)
}

// kindRun is a kind with how many of it are in a group and in the first part of a split.
type kindRun struct {
	kind        int32
	count, take int
}

// portion is one part of a split while it is put together.
type portion struct {
	members []int32
	hash    uint64
	may     uint16 // sets of sides it could do with
	corners int64
	w, h    int64 // no place is narrower, or lower
}

func (p *portion) clear() { *p = portion{members: p.members[:0], may: ^uint16(0)} }

func (p *portion) add(q *kind, k int32, n int) {
	if n == 0 {
		return
	}
	for range n {
		p.members = append(p.members, k)
	}
	p.hash += uint64(n) * q.mark
	p.may &= q.may
	p.corners += int64(n) * q.corners
	p.w, p.h = max(p.w, q.leastW), max(p.h, q.leastH)
}

// promising reports whether two parts, in either order, could come to lie beside a cut of a tile, as far as their
// sizes, sides and corners tell. A smaller place than the tile offers no side more.
func (f *fitter) promising(a, b *portion) bool {
	am, bm := a.may&sidesWithCorners(a.corners), b.may&sidesWithCorners(b.corners)
	if a.w+f.kerf+b.w <= f.w && (has(am, AllSides&^Right) && has(bm, AllSides&^Left) || has(bm, AllSides&^Right) && has(am, AllSides&^Left)) {
		return true
	}
	return a.h+f.kerf+b.h <= f.h && (has(am, AllSides&^Top) && has(bm, AllSides&^Bottom) || has(bm, AllSides&^Top) && has(am, AllSides&^Bottom))
}

// has reports whether a set of sides is in a set of such sets.
func has(sets uint16, s Sides) bool { return sets>>s&1 != 0 }
