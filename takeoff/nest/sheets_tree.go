package nest

// cutTree is how one sheet is cut. A node of the tree is a rectangle parted along its axis into children that lie side by
// side, each as wide across as the node; what the children leave is one free strip at the end, since parts may be
// slid together. Children are items, or nodes of the other axis. Sizes include the kerf.
type cutTree struct {
	nodes []cutNode
	root  int32
	free  []int32 // unused places in nodes
	area  int64   // of the items in it
	spare float64 // what room gave last, -1 where the tree has changed since
}

// cutNode is one rectangle. along is measured in the direction of the parent's axis, across in the other; for the root in
// its own axis. A node's children fill its length, which is the parent's cross length.
type cutNode struct {
	parent   int32 // -1 for the root
	item     int32 // -1 for a node with children
	turned   bool  // an item turned by a quarter
	upright  bool  // the axis of the node's own cuts: true where children lie above one another
	length   int64 // along its own axis (an item: along its parent's)
	cross    int64 // across it
	slack    int64 // free length behind the children
	children []int32
}

func newCutTree(w, h int64) *cutTree {
	return &cutTree{spare: -1, nodes: []cutNode{{parent: -1, item: -1, length: w, cross: h, slack: w}}}
}

func (t *cutTree) clone() *cutTree {
	c := &cutTree{nodes: make([]cutNode, len(t.nodes)), root: t.root, free: append([]int32(nil), t.free...), area: t.area, spare: -1}
	total := 0
	for i := range t.nodes {
		total += len(t.nodes[i].children)
	}
	store := make([]int32, 0, total)
	for i, n := range t.nodes {
		at := len(store)
		store = append(store, n.children...)
		n.children = store[at:len(store):len(store)]
		c.nodes[i] = n
	}
	return c
}

func (t *cutTree) add(n cutNode) int32 {
	if k := len(t.free); k > 0 {
		i := t.free[k-1]
		t.free = t.free[:k-1]
		t.nodes[i] = n
		return i
	}
	t.nodes = append(t.nodes, n)
	return int32(len(t.nodes) - 1)
}

// spotOption is a way to put an item into the free strip of a node: p along the node's axis and q across. first says
// that the strip is cut across at p first, so that the rest of the strip keeps its full width; otherwise the strip is
// cut along at q first.
type spotOption struct {
	node   int32
	p, q   int64
	turned bool
	first  bool
}

// put carries an option out.
func (t *cutTree) put(item int32, o spotOption) {
	t.spare = -1
	n := &t.nodes[o.node]
	slack, cross, upright := n.slack, n.cross, n.upright
	if o.first || o.q == cross {
		t.nodes[o.node].slack -= o.p
		t.hang(o.node, item, o.turned, o.p, o.q, cross, upright)
		return
	}
	t.nodes[o.node].slack = 0
	outer := t.add(cutNode{parent: o.node, item: -1, upright: !upright, length: cross, cross: slack, slack: cross - o.q})
	t.nodes[o.node].children = append(t.nodes[o.node].children, outer)
	// Inside the outer node the roles of the lengths are exchanged: q lies along its axis, p across.
	t.hang(outer, item, o.turned, o.q, o.p, slack, !upright)
}

// hang adds an item to a node as a child of length p; where it is narrower than the node, a node of the other axis holds
// it and the free rest beside it.
func (t *cutTree) hang(node, item int32, turned bool, p, q, cross int64, upright bool) {
	holder := node
	if q < cross {
		holder = t.add(cutNode{parent: node, item: -1, upright: !upright, length: cross, cross: p, slack: cross - q})
		t.nodes[node].children = append(t.nodes[node].children, holder)
		p, q = q, p
	}
	leaf := t.add(cutNode{parent: holder, item: item, turned: turned, length: p, cross: q})
	t.nodes[holder].children = append(t.nodes[holder].children, leaf)
	t.area += t.nodes[leaf].length * t.nodes[leaf].cross
}

// take removes the item at a leaf. Nodes left empty go too, and nodes that have become wider than their children need
// give the rest to the node above.
func (t *cutTree) take(leaf int32) {
	t.spare = -1
	t.area -= t.nodes[leaf].length * t.nodes[leaf].cross
	for i := leaf; ; {
		up := t.nodes[i].parent
		t.nodes[up].slack += t.along(i)
		t.unlink(up, i)
		if len(t.nodes[up].children) > 0 || up == t.root {
			t.shrink(up)
			return
		}
		i = up
	}
}

// along is a child's length in its parent's axis.
func (t *cutTree) along(i int32) int64 {
	if t.nodes[i].item >= 0 {
		return t.nodes[i].length
	}
	return t.nodes[i].cross
}

func (t *cutTree) unlink(up, i int32) {
	list := t.nodes[up].children
	for k, c := range list {
		if c == i {
			t.nodes[up].children = append(list[:k], list[k+1:]...)
			break
		}
	}
	t.nodes[i] = cutNode{parent: -1, item: -1}
	t.free = append(t.free, i)
}

// shrink narrows a node by the free length that all its children have across, and gives it to the node above.
func (t *cutTree) shrink(i int32) {
	for i != t.root {
		n := &t.nodes[i]
		spare := n.cross
		for _, c := range n.children {
			if t.nodes[c].item >= 0 {
				return
			}
			spare = min(spare, t.nodes[c].slack)
		}
		if spare <= 0 {
			return
		}
		for _, c := range n.children {
			t.nodes[c].slack -= spare
			t.nodes[c].length -= spare
		}
		n.cross -= spare
		t.nodes[n.parent].slack += spare
		i = n.parent
	}
}

// leaves lists the nodes that are items.
func (t *cutTree) leaves() []int32 { return t.leavesOf(t.root) }

// leavesOf lists the nodes that are items in a node.
func (t *cutTree) leavesOf(i int32) []int32 {
	var list []int32
	t.walk(i, 0, 0, func(i int32, _, _ int64) { list = append(list, i) })
	return list
}

// walk visits the items with their lower left corners.
func (t *cutTree) walk(i int32, x, y int64, visit func(leaf int32, x, y int64)) {
	n := &t.nodes[i]
	if n.item >= 0 {
		visit(i, x, y)
		return
	}
	for _, c := range n.children {
		t.walk(c, x, y, visit)
		if n.upright {
			y += t.along(c)
		} else {
			x += t.along(c)
		}
	}
}

// room is the sum of the squares of the free strips' areas: of trees with the same items, one with more room has it in larger
// pieces.
func (t *cutTree) room() float64 {
	if t.spare < 0 {
		t.spare = 0
		for i := range t.nodes {
			a := float64(t.nodes[i].slack) * float64(t.nodes[i].cross)
			t.spare += float64(a * a)
		}
	}
	return t.spare
}
