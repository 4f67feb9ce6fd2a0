package rcpsp

import (
	"cmp"
	"slices"
)

// adopt rebuilds a previous schedule with as little change as the problem as it is now allows: every activity that
// still fits keeps its start; the blocks of the others are placed anew, and what follows them is taken out only where
// it stands in their way. It reports false where even that finds no place.
func (b *builder) adopt(warm []int) bool {
	b.reset()
	order := make([]int, 0, b.m.n)
	for i, s := range warm {
		if s >= 0 && b.m.free(i) {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Or(cmp.Compare(warm[i], warm[j]), cmp.Compare(i, j)) })
	for _, i := range order {
		lo, hi, _ := b.window(i)
		b.spent++
		if s := warm[i]; lo <= s && s <= hi && b.fit(i, s) == s {
			b.put(i, s)
		}
	}
	return b.fillIn()
}

// fillIn places the blocks that miss a member, in topological order.
func (b *builder) fillIn() bool {
	missing := make([]bool, len(b.m.blocks))
	for i, s := range b.start {
		if s == notPlaced {
			missing[b.m.blockOf[i]] = true
		}
	}
	for blk := range missing {
		if missing[blk] {
			b.takeMembers(b.m.blocks[blk])
		}
	}
	for blk := range b.m.blocks { // blocks stand in a topological order
		if !missing[blk] || b.placeBlock(blk) {
			continue
		}
		b.takeFollowers(blk, missing)
		if !b.placeBlock(blk) {
			return false
		}
	}
	return true
}

// takeFollowers takes out all that must come after the block.
func (b *builder) takeFollowers(blk int, missing []bool) {
	queue := []int{blk}
	seen := map[int]bool{blk: true}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for _, next := range b.m.after[at] {
			if !seen[next] {
				seen[next] = true
				missing[next] = true
				b.takeMembers(b.m.blocks[next])
				queue = append(queue, next)
			}
		}
	}
	for _, i := range b.m.blocks[blk] {
		b.floor[i] = 0
	}
}
