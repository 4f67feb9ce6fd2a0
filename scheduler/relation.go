package scheduler

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// relation says of items of one surface's area which of them go in before each: what
// bears a piece, and its neighbour towards the start of its run.
type relation struct {
	items []*item
	after [][]int
}

// before is a pair of items: one, and one that goes in before it.
type before struct{ item, other int }

func relate(items []*item) relation {
	order := make([]int, len(items))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(items[a].lo.Y, items[b].lo.Y), cmp.Compare(a, b))
	})
	pairs := make([]before, 0, 3*len(items))
	for _, i := range order {
		it := items[i]
		reach := it.joint + neighbourSlack
		from, _ := slices.BinarySearchFunc(order, it.hi.Y-reach, func(k int, y rooms.Length) int { return cmp.Compare(items[k].lo.Y, y) })
		for _, j := range order[from:] {
			o := items[j]
			if o.lo.Y > it.hi.Y+reach {
				break
			}
			if j != i && o.surface == it.surface && o.lo.Y > it.lo.Y && min(it.hi.X, o.hi.X)-max(it.lo.X, o.lo.X) > overlapLeast {
				pairs = append(pairs, before{j, i})
			}
		}
	}
	return relation{items, listed(len(items), beside(items, pairs))}
}

// listed lists the others of each of n items, in the order of the pairs.
func listed(n int, pairs []before) [][]int {
	out, count, rest := make([][]int, n), make([]int, n), make([]int, len(pairs))
	for _, p := range pairs {
		count[p.item]++
	}
	for i, k := range count {
		out[i], rest = rest[:0:k], rest[k:]
	}
	for _, p := range pairs {
		out[p.item] = append(out[p.item], p.other)
	}
	return out
}

// beside adds to the pairs that each piece waits for its neighbour nearer to the start
// of its run.
func beside(items []*item, pairs []before) []before {
	byRow := make([]int, len(items))
	for i := range byRow {
		byRow[i] = i
	}
	slices.SortStableFunc(byRow, func(i, j int) int { return cmp.Compare(items[i].row, items[j].row) })
	for from, to := 0, 0; from < len(byRow); from = to {
		for to = from; to < len(byRow) && items[byRow[to]].row == items[byRow[from]].row; to++ {
		}
		row := byRow[from:to]
		for x, i := range row {
			for _, j := range row[x+1:] {
				a, b := items[i], items[j]
				if a.surface != b.surface || a.hops == b.hops || min(a.hi.Y, b.hi.Y)-max(a.lo.Y, b.lo.Y) <= overlapLeast {
					continue
				}
				gap := max(a.lo.X-b.hi.X, b.lo.X-a.hi.X)
				if gap > a.joint+neighbourSlack {
					continue
				}
				if a.hops < b.hops {
					pairs = append(pairs, before{j, i})
				} else {
					pairs = append(pairs, before{i, j})
				}
			}
		}
	}
	return pairs
}

// followers counts what each item waits for and lists the items that wait for it.
func (r relation) followers() (left []int, next [][]int) {
	left, all := make([]int, len(r.items)), 0
	for i, list := range r.after {
		left[i] = len(list)
		all += left[i]
	}
	pairs := make([]before, 0, all)
	for i, list := range r.after {
		for _, j := range list {
			pairs = append(pairs, before{j, i})
		}
	}
	return left, listed(len(r.items), pairs)
}

// steps is the setting order of the items of an area: a linear extension of the
// relation that grows from the start in steps, one row up for one piece sideways.
func (r relation) steps() []int {
	items := r.items
	left, next := r.followers()
	less := func(a, b int) int {
		x, y := items[a], items[b]
		return cmp.Or(cmp.Compare(x.row+x.hops, y.row+y.hops), cmp.Compare(x.row, y.row), cmp.Compare(x.lo.X, y.lo.X),
			cmp.Compare(x.lo.Y, y.lo.Y), cmp.Compare(x.piece.ID, y.piece.ID))
	}
	open := make([]int, 0, len(items))
	for i := range items {
		if left[i] == 0 {
			open = append(open, i)
		}
	}
	slices.SortFunc(open, less)
	done := make([]bool, len(items))
	out := make([]int, 0, len(items))
	for len(out) < len(items) {
		if len(open) == 0 { // shapes that bear each other both ways: the lowest goes first
			low := -1
			for i := range items {
				if !done[i] && (low < 0 || less(i, low) < 0) {
					low = i
				}
			}
			open = append(open, low)
		}
		i := open[0]
		open = open[1:]
		if done[i] {
			continue
		}
		done[i] = true
		out = append(out, i)
		for _, j := range next[i] {
			if left[j]--; left[j] == 0 && !done[j] {
				at, _ := slices.BinarySearchFunc(open, j, less)
				open = slices.Insert(open, at, j)
			}
		}
	}
	return out
}

// sawnLast puts the pieces of a wall that are measured on site and sawn wet behind
// the others of a setting order, as far as nothing that rests on them or follows them in
// their course is set before: they dry while the rest is set.
func (r relation) sawnLast(order []int) []*item {
	stays := make([]bool, len(r.items))
	for _, i := range slices.Backward(order) {
		if p := r.items[i].piece; stays[i] || !p.OnSite || !sawn(p) {
			stays[i] = true
			for _, j := range r.after[i] {
				stays[j] = true
			}
		}
	}
	out := make([]*item, 0, len(order))
	for _, now := range []bool{true, false} {
		for _, i := range order {
			if stays[i] == now {
				out = append(out, r.items[i])
			}
		}
	}
	return out
}
