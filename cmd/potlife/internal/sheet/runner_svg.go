package sheet

import (
	"fmt"
	"math"

	"potlife/cmd/potlife/internal/plandoc"
)

// mostDrawn is how many tiles of a start that lost are drawn.
const mostDrawn = 4000

// RunnerUp returns a small drawing of a surface with one of its zones laid from
// a start that was weighed and lost: the lattice from there, seen through the
// zone's cover.
func (Printer) RunnerUp(doc *plandoc.Document, surface, zone string, i int) ([]byte, error) {
	x := oneSurface(doc, surface)
	s := x.Surfaces[surface]
	if s == nil || !drawable(s.Outline) {
		return nil, fmt.Errorf("drawing: the plan has no surface %q with an outline", surface)
	}
	for k := range s.Zones {
		if z := &s.Zones[k]; z.Key == zone && i >= 0 && i < len(z.RunnersUp) {
			p := &picture{x: x, w: doc.Writing(), surface: s}
			return p.runnerUp(z, i, fmt.Sprintf("%s-%d-%d", p.id(), k, i)), nil
		}
	}
	return nil, fmt.Errorf("drawing: zone %q of %q has no runner-up %d", zone, surface, i)
}

func (p *picture) runnerUp(z *plandoc.Zone, i int, id string) []byte {
	b := boxOf(p.surface.Outline.Outer)
	scale := math.Min(86/b.w(), 66/b.h())
	f := frame{x0: b.x0, y1: b.y1, scale: scale, at: Pt{2, 2}, w: b.w() * scale, h: b.h() * scale}
	r := z.RunnersUp[i]
	c := newSVG(id, fmt.Sprintf("%s, another start, number %d", p.title(), i+1), fmt.Sprintf("%d whole and %d cut pieces. %s", r.Full, r.Cut, r.Why), f.w+4, f.h+4)
	var cover [][]Pt
	for _, q := range z.Cover {
		cover = append(cover, f.rings(q)...)
	}
	fmt.Fprintf(&c.b, `<clipPath id="%s-c"><path d="%s" clip-rule="evenodd"/></clipPath>`+"\n", esc(id), pathData(cover, true))
	fmt.Fprintf(&c.b, `<g clip-path="url(#%s-c)">`+"\n", esc(id))
	for _, t := range latticeOver(z, r.Origin) {
		fill := Paper
		if cutsTile(z, t) {
			fill = CutTint
		}
		c.Area(f.rings(plandoc.Polygon{Outer: t}), fill, Pen{W: 0.12, Ink: Mid})
	}
	c.b.WriteString("</g>\n")
	for _, q := range z.Cover {
		c.Area(f.rings(q), NoInk, Pen{W: 0.2, Ink: Mid})
	}
	for _, o := range p.surface.Openings {
		if drawable(o.Outline) {
			c.Area(f.rings(o.Outline)[:1], Hollow, Pen{W: 0.25, Ink: Dark})
		}
	}
	c.Area(f.rings(p.surface.Outline)[:1], NoInk, Pen{W: 0.4, Ink: Dark})
	return c.bytes()
}

// latticeOver lists the tiles of a zone's lattice that may meet its cover.
func latticeOver(z *plandoc.Zone, origin plandoc.Point) [][]plandoc.Point {
	u, v := z.Lattice.U, z.Lattice.V
	det := float64(u[0])*float64(v[1]) - float64(u[1])*float64(v[0])
	if det == 0 {
		return nil
	}
	var all []plandoc.Point
	for _, q := range z.Cover {
		all = append(all, q.Outer...)
	}
	if len(all) == 0 {
		return nil
	}
	b := boxOf(all)
	var out [][]plandoc.Point
	for _, t := range z.Lattice.Tiles {
		tb := boxOf(t.Shape)
		lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
		for _, x := range []float64{b.x0 - tb.x1, b.x1 - tb.x0} {
			for _, y := range []float64{b.y0 - tb.y1, b.y1 - tb.y0} {
				dx, dy := x-float64(origin[0]), y-float64(origin[1])
				i, j := (dx*float64(v[1])-dy*float64(v[0]))/det, (dy*float64(u[0])-dx*float64(u[1]))/det
				lo, hi = [2]float64{math.Min(lo[0], i), math.Min(lo[1], j)}, [2]float64{math.Max(hi[0], i), math.Max(hi[1], j)}
			}
		}
		for j := math.Floor(lo[1]); j <= math.Ceil(hi[1]); j++ {
			for i := math.Floor(lo[0]); i <= math.Ceil(hi[0]); i++ {
				ring := make([]plandoc.Point, len(t.Shape))
				for k, q := range t.Shape {
					ring[k] = plandoc.Point{q[0] + origin[0] + plandoc.MM(i)*u[0] + plandoc.MM(j)*v[0], q[1] + origin[1] + plandoc.MM(i)*u[1] + plandoc.MM(j)*v[1]}
				}
				rb := boxOf(ring)
				if rb.x1 <= b.x0 || rb.x0 >= b.x1 || rb.y1 <= b.y0 || rb.y0 >= b.y1 {
					continue
				}
				if out = append(out, ring); len(out) == mostDrawn {
					return out
				}
			}
		}
	}
	return out
}

// cutsTile says whether the border of a zone's cover runs through a tile: a
// corner of it lies outside the cover, or a corner of the cover inside it.
func cutsTile(z *plandoc.Zone, tile []plandoc.Point) bool {
	for _, p := range tile {
		in := false
		for _, q := range z.Cover {
			in = in || inRings(q, p, 0.1)
		}
		if !in {
			return true
		}
	}
	for _, q := range z.Cover {
		for _, ring := range append([][]plandoc.Point{q.Outer}, q.Holes...) {
			for _, p := range ring {
				if inRings(plandoc.Polygon{Outer: tile}, p, -0.1) {
					return true
				}
			}
		}
	}
	return false
}

// inRings says whether a point lies in a polygon, or within a distance of its
// border; with a negative one it must lie that deep inside.
func inRings(poly plandoc.Polygon, p plandoc.Point, within float64) bool {
	in, near := false, math.Inf(1)
	for _, ring := range append([][]plandoc.Point{poly.Outer}, poly.Holes...) {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			near = math.Min(near, toSegment(p, a, b))
			if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(b[0]-a[0])*(p[1]-a[1])/(b[1]-a[1]) {
				in = !in
			}
		}
	}
	if within < 0 {
		return in && near >= -within
	}
	return in || near <= within
}
