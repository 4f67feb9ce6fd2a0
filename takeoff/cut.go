package takeoff

import (
	"cmp"
	"fmt"
	"strings"

	"potlife/rooms"
)

// framed is a piece in its tile's own frame, with what made each edge.
type framed struct {
	shape  rooms.Ring
	rings  []clipRing // outer first
	turned turn       // from the tile's frame to the surface
	lines  []border
	made   []int // border by cover edge
	// imperial sizes are in fractions of an inch.
	imperial bool
	taper    rooms.Length // cut ahead up to this
	strip    rooms.Length // the narrowest that score and snap leaves, 0: the tile cannot be snapped
}

// cutsOf works out the cuts of a piece: sized cuts parallel to the tile's
// sides, and shaped ones.
func (z *zoneLayer) cutsOf(p *Piece, q part) {
	var tile Tile
	for _, t := range z.tiles {
		if t.Key == p.Tile {
			tile = t
		}
	}
	f := &framed{shape: tile.Shape, turned: turnBy(int(p.Degrees)), lines: z.ground.lines, made: z.made, imperial: z.in.Imperial, taper: cmp.Or(z.in.Taper, DefaultTaper), strip: SnapStrip(tile)}
	back := f.turned.back()
	for _, r := range append([]clipRing{q.outer}, q.holes...) {
		own := make(clipRing, len(r))
		for i, v := range r {
			own[i] = clipVertex{back.apply(rooms.Point{X: v.p.X - p.Place.X, Y: v.p.Y - p.Place.Y}), v.tag}
		}
		f.rings = append(f.rings, own)
	}
	straight := f.straightCuts()
	sized := f.sized(straight)
	shapes, marks := f.shaped(straight)
	p.Cuts = append(sized, shapes...)
	if !sound(StockShape(*p, tile)) {
		// So small or so pointed that the straight cuts meet: one outline.
		sized = nil
		p.Cuts, marks = f.shaped(nil)
	}
	z.mark(p.ID, len(sized), marks)
	if len(p.Cuts) == 0 {
		p.Cuts = []Cut{{Side: "shape", Shape: "dressed to the border", At: f.nearestName()}}
	}
	f.chooseTools(p)
	p.OnSite, p.OnSiteWhy = f.waits(p)
}

// sound reports whether a shape is an area with a simple outline and its holes
// well inside.
func sound(p rooms.Polygon) bool {
	if len(p.Outer) < 3 || p.Outer.Area().Sign() <= 0 || p.Outer.CrossesItself() {
		return false
	}
	for _, h := range p.Holes {
		if p.Outer.Place(h[0]) != rooms.Inside || h.Meets(p.Outer) {
			return false
		}
	}
	return true
}

// straightCut is a side of the tile that is cut off along its whole breadth.
type straightCut struct {
	side     int          // of the tile's shape
	opposite int          // the parallel side across, -1 where there is none
	near     rooms.Length // the least and
	far      rooms.Length // the most depth of the cover's line, from the side
	less     rooms.Length // the cut may lie that much deeper than near,
	more     rooms.Length // or that much less deep
	deepest  rooms.Length // how far the piece reaches from the side
	edges    map[int]bool // of the outer ring that it makes
	at       string
}

// DefaultTaper is the difference between the two ends of a cut up to which a taper
// is marked at the saw by both sizes; one that runs out more is marked at the wall:
// common practice.
const DefaultTaper = 10 * rooms.Millimetre

// taperFrom is the difference in depth from which a line counts as tapered.
const taperFrom = 50 * rooms.Micrometre

// straightCuts finds the sides that are wholly cut off by lines parallel to
// them, as far as the gap's limits let a parallel cut follow the line.
func (f *framed) straightCuts() []straightCut {
	var all, out []straightCut
	for k := range f.shape {
		if c, ok := f.straightCut(k); ok {
			all = append(all, c)
		}
	}
	for _, c := range all {
		// A size is measured from the side across or from a straight cut there.
		if c.deepest >= f.breadth(c.side)-onBorder || findSide(all, c.opposite) != nil {
			out = append(out, c)
		}
	}
	return out
}

// depth is how far p lies inside the tile's side k.
func (f *framed) depth(k int, p rooms.Point) rooms.Length {
	return leftOf(f.shape[k], f.shape[(k+1)%len(f.shape)], p)
}

func (f *framed) straightCut(k int) (straightCut, bool) {
	c := straightCut{side: k, opposite: f.opposite(k), near: 1 << 62, edges: map[int]bool{}}
	for _, v := range f.rings[0] {
		c.near, c.deepest = min(c.near, f.depth(k, v.p)), max(c.deepest, f.depth(k, v.p))
	}
	if c.near <= onBorder {
		return c, false
	}
	c.far = c.near
	r := f.rings[0]
	low, high := rooms.Length(-1<<62), rooms.Length(1<<62)
	for i, made := range f.facing(r.plain(), k, c.near, func(i int) rooms.Length {
		if r[i].tag < 0 {
			return -1
		}
		return cutReach(c.near, c.deepest, f.border(r[i].tag).less)
	}) {
		if !made {
			continue
		}
		x, d0, d1 := f.border(r[i].tag), f.depth(k, r[i].p), f.depth(k, r[(i+1)%len(r)].p)
		c.edges[i] = true
		c.far = max(c.far, d0, d1)
		// A cut less deep than low leaves a gap below its least somewhere, one
		// deeper than high a gap above its most.
		low = max(low, max(d0, d1)-x.more)
		high = min(high, min(d0, d1)+x.less)
		if !strings.Contains(c.at, x.name) {
			c.at = strings.TrimPrefix(c.at+", "+x.name, ", ")
		}
	}
	if c.far-c.near > taperFrom {
		low = max(low, c.far) // never larger than its space anywhere along a taper
	}
	if len(c.edges) == 0 || low > high || c.opposite < 0 || !f.squareEnds(r, k, c.edges) {
		return c, false
	}
	c.less, c.more = high-c.near, c.near-low
	breadth := f.breadth(k)
	return c, printedSize(breadth-c.far, breadth-high, min(breadth-low, breadth), f.imperial) > 0
}

// cutReach is the depth down to which edges belong to a straight cut that
// begins at near: as far as the gap may grow, and no more than a quarter of the
// piece.
func cutReach(near, deepest, less rooms.Length) rooms.Length {
	return near + min(max(less, taperFrom), (deepest-near)/4)
}

// squareEnds reports whether the cut ends at edges about square to the side, so
// that a cut a little deeper leaves the piece as broad as it is. A hexagon cut
// across its slanting sides is marked and cut to a line instead.
func (f *framed) squareEnds(r clipRing, k int, cut map[int]bool) bool {
	a, b := f.shape[k], f.shape[(k+1)%len(f.shape)]
	for i := range r {
		for _, j := range [2]int{(i + 1) % len(r), (i + len(r) - 1) % len(r)} {
			if !cut[i] || cut[j] {
				continue
			}
			p, q := r[j].p, r[(j+1)%len(r)].p
			run, rise := along(a, b, q)-along(a, b, p), f.depth(k, q)-f.depth(k, p)
			if max(run, -run) > steepest*float64(absLen(rise)) {
				return false
			}
		}
	}
	return true
}

// stepWithin is the highest step in a line that one straight cut still follows.
const stepWithin = rooms.Millimetre

// facing tells which edges of a ring a straight cut off side k can make: those
// that run along the side, begin next to it or go on from one that does by a
// small step at most, and lie no deeper than reach allows.
func (f *framed) facing(r rooms.Ring, k int, near rooms.Length, reach func(int) rooms.Length) []bool {
	a, b := f.shape[k], f.shape[(k+1)%len(f.shape)]
	n := len(r)
	may, out := make([]bool, n), make([]bool, n)
	for i, p := range r {
		q := r[(i+1)%n]
		d0, d1 := f.depth(k, p), f.depth(k, q)
		run := along(a, b, q) - along(a, b, p)
		flat := steepest*run >= float64(absLen(d1-d0))
		may[i] = max(d0, d1) <= reach(i) && (flat || absLen(d1-d0) <= stepWithin && max(run, -run) <= float64(stepWithin))
		out[i] = may[i] && flat && min(d0, d1) <= near+taperFrom
	}
	for range n { // spread to neighbours
		for i := range r {
			out[i] = out[i] || may[i] && (out[(i+1)%n] || out[(i+n-1)%n])
		}
	}
	return out
}

func (f *framed) border(tag int32) border {
	if i := f.made[tag]; i >= 0 {
		return f.lines[i]
	}
	return border{name: "border"}
}

// opposite is the side parallel to side k, across the tile; -1 if there is none.
func (f *framed) opposite(k int) int {
	n := len(f.shape)
	a, b := f.shape[k], f.shape[(k+1)%n]
	for j := range n {
		c, d := f.shape[j], f.shape[(j+1)%n]
		if j != k && absLen(leftOf(a, b, c)-leftOf(a, b, d)) <= onBorder && along(a, b, d) < along(a, b, c) {
			return j
		}
	}
	return -1
}

// breadth is the distance of side k from the side across.
func (f *framed) breadth(k int) rooms.Length {
	o := f.opposite(k)
	if o < 0 {
		return 0
	}
	return f.depth(k, f.shape[o])
}

// sized turns straight cuts into cuts with a size. Of two on opposite sides the
// first is trimmed and the other gives the width between them.
func (f *framed) sized(straight []straightCut) []Cut {
	var out []Cut
	done := map[int]bool{}
	for i := range straight {
		c := &straight[i]
		if c.opposite < 0 || done[c.side] {
			continue
		}
		cut := Cut{Side: f.sideName(c.side), Sized: true, At: c.at}
		breadth := f.breadth(c.side)
		cut.Drawn = breadth - c.near
		cut.Least, cut.Most = cut.Drawn-c.less, breadth-c.near+c.more
		base := breadth - c.far
		if o := findSide(straight, c.opposite); o != nil {
			cut.Drawn -= o.near
			cut.Least -= o.near + o.less
			cut.Most -= o.near - o.more
			base -= o.far
			done[c.opposite] = true
			cut.Trim = FirstTrim{At: o.at, Tool: f.snapOr(WetSaw, o.near, breadth-o.far),
				Shape: fmt.Sprintf("trim the %s edge first, straight, by %s%s or a little less", f.sideName(o.side), f.at(o.near), f.unit())}
			out = append(out, Cut{Side: "shape", At: o.at, Tool: cut.Trim.Tool, Shape: cut.Trim.Shape})
		}
		cut.Least, cut.Most = max(cut.Least, 1), min(cut.Most, breadth)
		cut.Size = printedSize(min(base, cut.Most), cut.Least, cut.Most, f.imperial)
		cut.Tool = f.snapOr(WetSaw, cut.Drawn, c.near)
		out = append(out, cut)
	}
	return out
}

func findSide(straight []straightCut, side int) *straightCut {
	for i := range straight {
		if straight[i].side == side {
			return &straight[i]
		}
	}
	return nil
}

// printedSize rounds down to what a tape shows and then to what a stop can be
// set to; 0 says that neither lies within the limits.
func printedSize(base, least, most rooms.Length, imperial bool) rooms.Length {
	steps := [2]rooms.Length{rooms.Millimetre, rooms.Millimetre / 10}
	if imperial {
		steps = [2]rooms.Length{rooms.Inch / 16, rooms.Inch / 64}
	}
	for _, step := range steps {
		for _, from := range [2]rooms.Length{base, most} {
			if s := from.Round(step, rooms.Down); s >= least && s <= most && s > 0 {
				return s
			}
		}
	}
	return 0
}

// sideName is the side of the piece as laid, by where the tile's side faces.
// In turned patterns it is the side as if the pattern stood upright.
func (f *framed) sideName(k int) string {
	a, b := f.shape[k], f.shape[(k+1)%len(f.shape)]
	quarter := turnBy((f.turned.degrees + 45) / 90 * 90)
	return facingOf(quarter.apply(a), quarter.apply(b))
}

// nearestName names the border next to the piece.
func (f *framed) nearestName() string {
	for _, r := range f.rings {
		for _, v := range r {
			if v.tag >= 0 {
				return f.border(v.tag).name
			}
		}
	}
	return ""
}

// waits says whether, and why, the piece is measured on site.
func (f *framed) waits(p *Piece) (bool, string) {
	for _, r := range f.rings {
		for _, v := range r {
			if v.tag >= 0 && f.border(v.tag).wait != "" {
				return true, f.border(v.tag).wait
			}
		}
	}
	for i := range p.Cuts {
		c := &p.Cuts[i]
		if c.Sized && c.Size == 0 {
			c.Size = max(c.Drawn.Round(rooms.Millimetre/10, rooms.Down), 1)
			return true, fmt.Sprintf("no size that can be set keeps the gap at %s between its limits; a reading there would free it", c.At)
		}
		if c.Rise > max(f.taper, 0) {
			return true, fmt.Sprintf("the taper at %s runs out %s%s across the piece, over the %s%s up to which one is cut ahead; take both sizes from the wall",
				c.At, f.at(c.Rise), f.unit(), f.at(max(f.taper, 0)), f.unit())
		}
	}
	return false, ""
}
