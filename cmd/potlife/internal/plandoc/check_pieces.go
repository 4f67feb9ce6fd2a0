package plandoc

import (
	"math"
	"slices"
)

const (
	sameLine  = 0.02 // mm: two edges are the same line
	strayArea = 0.5  // mm²: rounding of coordinates at this size is no breach
)

// checkGeometry holds every zone to group 2 and every piece to groups 2 to 4. No
// surface depends on another.
func (c *checker) checkGeometry() {
	each := make([]func(*checker), len(c.doc.Surfaces))
	for i := range c.doc.Surfaces {
		each[i] = func(c *checker) { c.checkSurface(&c.doc.Surfaces[i]) }
	}
	c.together(each)
}

// checkSurface: where its zones lie depends on the outline, the openings and the
// covers of all its zones, and on nothing else.
func (c *checker) checkSurface(s *Surface) {
	was := c.before.covered(s)
	outline := regionOf(s.Outline)
	var covers []region
	for j := range s.Zones {
		z := &s.Zones[j]
		cover := regionOf(z.Cover...)
		if was != nil {
			c.checkZone(s, z, &was.Zones[j], cover)
			continue
		}
		if outside(cover, outline) > 1 {
			c.breach("2 geometry", "%s %s: cover leaves the outline", s.Key, z.Key)
		}
		for _, o := range s.Openings {
			if overlap(cover, regionOf(o.Outline)) > 1 {
				c.breach("2 geometry", "%s %s: cover enters opening %s", s.Key, z.Key, o.Key)
			}
		}
		for _, other := range covers {
			if overlap(cover, other) > 1 {
				c.breach("2 geometry", "%s %s: overlaps another zone", s.Key, z.Key)
			}
		}
		covers = append(covers, cover)
		c.checkZone(s, z, nil, cover)
	}
}

// checkZone: was is the zone before, where its cover is the same, else nil. What a
// piece is held to depends on the cover, on what samePiece compares and on its stock
// tile; joints and bare places depend on the cover, the joint and every piece's place.
func (c *checker) checkZone(s *Surface, z, was *Zone, cover region) {
	pieces := make([]*placedPiece, 0, len(z.Pieces))
	for i := range z.Pieces {
		p := c.pieces[z.Pieces[i].ID]
		pieces = append(pieces, p)
		if was != nil && i < len(was.Pieces) && samePiece(p.Piece, &was.Pieces[i]) && c.before.stock[p.Stock] {
			continue
		}
		if a := outside(p.shape(), cover); a > strayArea {
			c.breach("2 geometry", "%s: %.1f mm² outside the cover", p.ID, a)
		}
		c.checkPiece(p, cover)
	}
	if was != nil && sameJoints(z, was) {
		return
	}
	c.checkJoints(z, pieces)
	c.checkBare(s, z, cover, pieces)
}

// checkJoints compares each piece with those whose boxes come within a joint.
func (c *checker) checkJoints(z *Zone, pieces []*placedPiece) {
	type boxed struct {
		p      *placedPiece
		lo, hi xy
	}
	list := make([]boxed, len(pieces))
	for i, p := range pieces {
		list[i] = boxed{p, p.lo, p.hi}
	}
	slices.SortStableFunc(list, func(a, b boxed) int { return cmpFloat(a.lo.x, b.lo.x) })
	joint := float64(z.Joint)
	for i, a := range list {
		for _, b := range list[i+1:] {
			if b.lo.x > a.hi.x+joint+1 {
				break
			}
			if b.lo.y > a.hi.y+joint+1 || a.lo.y > b.hi.y+joint+1 {
				continue
			}
			as, bs := a.p.shape(), b.p.shape()
			gap := distance(as, bs)
			if gap < joint-sameLine || overlap(as, bs) > strayArea {
				c.breach("2 geometry", "%s and %s: %.3f mm apart, joint %g", a.p.ID, b.p.ID, gap, joint)
			}
		}
	}
}

// checkBare looks for a place on the cover where a disc meets no tile although
// it is wider than a joint: further from every piece than a joint and further
// from the cover's edge than half of one. The pieces are disjoint, so together
// they are one region by the even-odd rule.
func (c *checker) checkBare(s *Surface, z *Zone, cover region, pieces []*placedPiece) {
	var tiled region
	for _, p := range pieces {
		tiled = append(tiled, p.shape()...)
	}
	near := neighboursOf(tiled)
	joint := float64(z.Joint)
	free := cells(func(in []bool) bool { return !in[1] }, cover, tiled)
	for _, t := range free {
		if math.Min(t.right0-t.left0, t.right1-t.left1) < joint/2+0.5 {
			continue
		}
		for _, p := range t.samples() {
			if nearest(p, cover, joint/2+0.5) < joint/2+0.5 || near.within(p, joint+0.6) {
				continue
			}
			c.breach("2 geometry", "%s %s: bare near (%.0f, %.0f)", s.Key, z.Key, p.x, p.y)
			return
		}
	}
}

// neighbours are rings by where they begin from the left, so that only those about
// a point are looked at: of a large floor a few of thousands.
type neighbours struct {
	rings  []boxedRing
	widest float64
}

type boxedRing struct {
	only   region // the ring alone
	lo, hi xy
}

func neighboursOf(r region) *neighbours {
	n := &neighbours{rings: make([]boxedRing, len(r))}
	for i := range r {
		only := r[i : i+1]
		lo, hi := only.box()
		n.rings[i] = boxedRing{only, lo, hi}
		n.widest = max(n.widest, hi.x-lo.x)
	}
	slices.SortStableFunc(n.rings, func(a, b boxedRing) int { return cmpFloat(a.lo.x, b.lo.x) })
	return n
}

// within reports whether an edge of a ring lies less than reach from p.
func (n *neighbours) within(p xy, reach float64) bool {
	from, _ := slices.BinarySearchFunc(n.rings, p.x-n.widest-reach, func(r boxedRing, x float64) int { return cmpFloat(r.lo.x, x) })
	for _, r := range n.rings[from:] {
		if r.lo.x > p.x+reach {
			break
		}
		if r.hi.x >= p.x-reach && r.lo.y <= p.y+reach && r.hi.y >= p.y-reach && nearest(p, r.only, reach) < reach {
			return true
		}
	}
	return false
}

// nearest is the distance from p to the closest edge of r; it may stop at the
// first one below enough.
func nearest(p xy, r region, enough float64) float64 {
	best := math.Inf(1)
	for _, ring := range r {
		for i, a := range ring {
			best = min(best, pointToSegment(p, a, ring[(i+1)%len(ring)]))
			if best < enough {
				return best
			}
		}
	}
	return best
}

// checkPiece holds a piece to its tile, its printed sizes and its place on a
// stock tile.
func (c *checker) checkPiece(p *placedPiece, cover region) {
	tile := regionOf(Polygon{Outer: c.tiles[p.Tile].Shape})
	lost := math.Abs(p.area - tile.area())
	if p.Full && lost >= 1 || !p.Full && lost < 0.001 {
		c.breach("2 geometry", "%s: full is %v, %.1f mm² of %.1f", p.ID, p.Full, p.area, tile.area())
	}
	if !p.Full && len(p.Cuts) == 0 {
		c.breach("3 cut", "%s: not full and no cut", p.ID)
	}
	at := c.placeOnStock(p)
	if at == nil {
		return
	}
	grow, trim := c.checkSizes(p, at)
	if p.Full {
		if math.Abs(at.area()-tile.area()) > 1 {
			c.breach("4 stock", "%s: full, yet not its whole stock tile", p.ID)
		}
		return
	}
	shape := p.shape()
	slack := (perimeter(shape)+4)*(grow+trim+0.05) + 1
	if math.Abs(at.area()-p.area) > slack {
		c.breach("4 stock", "%s: its piece of stock has %.0f mm², drawn %.0f", p.ID, at.area(), p.area)
	}
	need := perimeter(shape) - along(shape, cover)
	if have := along(at, tile); have < need-4*(grow+trim)-1 {
		c.breach("4 stock", "%s: needs %.0f mm of factory edge, has %.0f", p.ID, need, have)
	}
}

// placeOnStock is the piece's shape on its stock tile.
func (c *checker) placeOnStock(p *placedPiece) region {
	var at region
	n := 0
	for _, q := range c.stock[p.Stock].Pieces {
		if q.Piece == p.ID {
			at = regionOf(q.Polygon)
			n++
		}
	}
	if n != 1 {
		c.breach("1 reference", "piece %s stands %d times on stock tile %s", p.ID, n, p.Stock)
		return nil
	}
	return at
}

// checkSizes compares printed sizes with their limits and with the stock
// shape; it returns how far they lie above and below what is drawn.
func (c *checker) checkSizes(p *placedPiece, at region) (grow, trim float64) {
	lo, hi := at.box()
	w, h := hi.x-lo.x, hi.y-lo.y
	rectangle := math.Abs(at.area()-w*h) < strayArea
	for _, cut := range p.Cuts {
		if cut.Size == nil {
			continue
		}
		size := float64(*cut.Size)
		if cut.Least == nil || cut.Most == nil || cut.Drawn == nil {
			c.breach("3 cut", "%s: size %g without limits", p.ID, size)
			continue
		}
		if !p.OnSite && (size < float64(*cut.Least)-1e-9 || size > float64(*cut.Most)+1e-9) {
			c.breach("3 cut", "%s: size %g outside %g…%g", p.ID, size, float64(*cut.Least), float64(*cut.Most))
		}
		grow = max(grow, size-float64(*cut.Drawn))
		trim = max(trim, float64(*cut.Drawn)-size)
		if rectangle && math.Min(math.Abs(size-w), math.Abs(size-h)) > 0.1 {
			c.breach("4 stock", "%s: printed %g, cut as %.2f × %.2f", p.ID, size, w, h)
		}
	}
	return grow, trim
}

func perimeter(r region) float64 {
	sum := 0.0
	for _, ring := range r {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			sum += math.Hypot(b.x-a.x, b.y-a.y)
		}
	}
	return sum
}

// along is the length of the edges of r that run on an edge of border.
func along(r, border region) float64 {
	sum := 0.0
	for _, ring := range r {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			mid := xy{(a.x + b.x) / 2, (a.y + b.y) / 2}
			if onLine(a, border) && onLine(b, border) && onLine(mid, border) {
				sum += math.Hypot(b.x-a.x, b.y-a.y)
			}
		}
	}
	return sum
}

func onLine(p xy, border region) bool {
	return nearest(p, border, sameLine) <= sameLine
}

// checkStock holds what is cut from each stock tile to group 4. Where its pieces lie
// depends on the tile's shape and on them; whose they are, and whether it is broken, is
// looked up every time.
func (c *checker) checkStock() {
	seen := make(map[string]int, len(c.order))
	for i := range c.doc.Stock {
		t := &c.doc.Stock[i]
		same := c.before.stock[t.ID]
		var shape region
		if !same {
			shape = regionOf(Polygon{Outer: c.tiles[t.Tile].Shape})
		}
		if t.Broken && len(t.Pieces) > 0 {
			c.breach("4 stock", "%s is broken and still has pieces", t.ID)
		}
		var got []region
		for _, q := range t.Pieces {
			seen[q.Piece]++
			owner := c.pieces[q.Piece]
			if owner.Stock != t.ID || owner.Tile != t.Tile {
				c.breach("1 reference", "stock tile %s and piece %s do not name each other", t.ID, q.Piece)
			}
			if same {
				continue
			}
			r := regionOf(q.Polygon)
			if outside(r, shape) > strayArea {
				c.breach("4 stock", "%s leaves its tile %s", q.Piece, t.ID)
			}
			for _, o := range got {
				if overlap(r, o) > strayArea {
					c.breach("4 stock", "%s overlaps another piece of %s", q.Piece, t.ID)
				}
			}
			got = append(got, r)
		}
	}
	for _, p := range c.order {
		if seen[p.ID] != 1 {
			c.breach("1 reference", "piece %s stands on %d stock tiles", p.ID, seen[p.ID])
		}
	}
}
