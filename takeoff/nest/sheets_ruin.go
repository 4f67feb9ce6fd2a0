package nest

import "slices"

// ruin copies the packing and takes pieces out: every other time a few parts here and there, which keeps most of
// what fits well, else much of a few sheets, which leaves room for another cutting.
func (s *sheetSolver) ruin(now packing) packing {
	next := packing{slices.Clone(now.trees), slices.Clone(now.out), now.area}
	switch {
	case len(next.trees) == 0:
	case s.random.IntN(2) > 0:
		s.ruinParts(&next, now.trees)
	default:
		s.ruinSheets(&next)
	}
	return next
}

// ruinMost is the most parts taken out at a time, beside those that fall out with them.
const ruinMost = 8

// ruinParts takes some parts out, each a piece or all that lies in one strip of the cutting.
func (s *sheetSolver) ruinParts(p *packing, before []*cutTree) {
	for range 1 + s.random.IntN(ruinMost) {
		at := s.random.IntN(len(p.trees))
		if p.trees[at] == before[at] {
			p.trees[at] = p.trees[at].clone()
		}
		t := p.trees[at]
		part := int32(s.random.IntN(len(t.nodes)))
		s.steps += 10
		if t.nodes[part].parent < 0 {
			continue
		}
		for _, leaf := range t.leavesOf(part) {
			s.takeOut(p, t, leaf)
		}
	}
}

// ruinSheets clears one or two sheets, or takes each piece of up to three with the same chance.
func (s *sheetSolver) ruinSheets(p *packing) {
	count := 1 + s.random.IntN(min(3, len(p.trees)))
	share := 1.0
	if s.random.IntN(5) > 1 {
		share = 0.15 + 0.6*s.random.Float64()
	} else {
		count = min(count, 2)
	}
	for range count {
		at := s.random.IntN(len(p.trees))
		t := p.trees[at].clone()
		p.trees[at] = t
		for _, leaf := range t.leaves() {
			if share == 1 || s.random.Float64() < share {
				s.takeOut(p, t, leaf)
			}
		}
		s.steps += int64(len(t.nodes))
	}
}

// takeOut leaves the piece at a leaf without a place.
func (s *sheetSolver) takeOut(p *packing, t *cutTree, leaf int32) {
	i := t.nodes[leaf].item
	t.take(leaf)
	p.out = append(p.out, i)
	p.area += s.items[i].W * s.items[i].H
}
