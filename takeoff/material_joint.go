package takeoff

import (
	"cmp"
	"fmt"

	"potlife/rooms"
)

// SealantDepth is how deep a soft joint is filled: half its width, but not less
// than 6 mm nor more than 13 mm (building practice); joints under 6 mm, which
// cannot hold that, are filled over a tape as deep as they are wide.
func SealantDepth(width rooms.Length) rooms.Length {
	if width < 6*rooms.Millimetre {
		return width
	}
	return min(max(width/2, 6*rooms.Millimetre), 13*rooms.Millimetre)
}

// SealantMl is what a rectangular bead takes, in ml per m: width by depth in mm.
func SealantMl(width, depth rooms.Length) float64 { return width.Millimetres() * depth.Millimetres() }

// leastRod is the narrowest joint that takes a backer rod; below it a tape does.
const leastRod = 6 * rooms.Millimetre

// seams remembers which edges share a line with another surface, so that each
// line is filled and trimmed once.
type seams struct{ own map[string][]int }

// newSeams gives every line to the first surface that names it.
func newSeams(surfaces []takenSurface) *seams {
	q := &seams{own: map[string][]int{}}
	done := map[string]bool{}
	for i := range surfaces {
		s := &surfaces[i]
		for n, e := range s.Edges {
			own := fmt.Sprintf("%s#%d", s.key, n)
			other := ""
			if e.Shared != "" {
				other = joinKey(s.room.job, e.Shared)
			}
			if done[own] || done[other] {
				continue
			}
			done[own] = true
			if other != "" {
				done[other] = true
			}
			q.own[s.key] = append(q.own[s.key], n)
		}
	}
	return q
}

// of lists the edges whose line is counted with this surface.
func (q *seams) of(s *takenSurface) []int { return q.own[s.key] }

// needSealant takes the soft joints of a surface and the rod behind those wide
// enough.
func (t *taker) needSealant(s *takenSurface, edges []int) {
	var ml, rod float64
	var widths []rooms.Length
	bead := func(width rooms.Length, metres float64) {
		if width <= 0 || metres <= 0 {
			return
		}
		ml += float64(SealantMl(width, SealantDepth(width)) * metres)
		if width >= leastRod {
			rod += metres
		}
		widths = append(widths, width)
	}
	for _, i := range edges {
		if s.Edges[i].Fill == rooms.FillSealant {
			bead(s.Edges[i].Gap, s.edgeMetres(i))
		}
	}
	for _, o := range s.Openings {
		if o.Fill == rooms.FillSealant {
			bead(o.Gap, perimeterMetres(o.Outline))
		}
	}
	for _, j := range s.SoftJoints {
		bead(j.Width, segmentMetres(j.A, j.B))
	}
	for _, z := range s.layout.Zones {
		for _, j := range z.Movement {
			bead(j.Width, segmentMetres(j.A, j.B))
		}
	}
	if ml == 0 {
		return
	}
	p := t.sealant(s)
	if p == nil {
		t.needKind(KindSealant, s, nil)
	} else {
		net := ml
		if p.Unit == "l" {
			net /= 1000
		}
		t.need(p, s, net, fmt.Sprintf("soft joints, width × depth: %s", beadWords(widths)))
	}
	if rod > 0 && t.in.Catalogue.Of(KindBacker) != nil {
		t.needKind(KindBacker, s, func(*Product) (float64, string) {
			return rod, fmt.Sprintf("behind soft joints of %s and more", leastRod)
		})
	}
}

// beadWords prints the range of beads: "5 × 5 mm", "5 × 5 to 10 × 6 mm".
func beadWords(widths []rooms.Length) string {
	low, high := widths[0], widths[0]
	for _, w := range widths {
		low, high = min(low, w), max(high, w)
	}
	words := func(w rooms.Length) string {
		return trimmed(w.Millimetres(), 1) + " × " + trimmed(SealantDepth(w).Millimetres(), 1)
	}
	if low == high {
		return words(low) + " mm"
	}
	return words(low) + " to " + words(high) + " mm"
}

// sealant is the product of the first zone that names one, else the firm's
// first.
func (t *taker) sealant(s *takenSurface) *Product {
	for _, z := range s.layout.Zones {
		if p := t.products[z.Zone.Sealant]; p != nil {
			return p
		}
	}
	return t.in.Catalogue.Of(KindSealant)
}

// barLength is one stretch of trim.
type barLength struct {
	product, site string
	surface       *takenSurface
	metres        float64
}

// trimLengths lists the stretches of trim along a surface's edges.
func (t *taker) trimLengths(s *takenSurface, edges []int) []barLength {
	var list []barLength
	for _, i := range edges {
		e := s.Edges[i]
		if e.Fill != rooms.FillTrim {
			continue
		}
		p := t.products[e.Trim]
		if p == nil {
			p = t.in.Catalogue.Of(KindTrim)
		}
		if p == nil {
			t.needKind(KindTrim, s, nil)
			continue
		}
		list = append(list, barLength{p.Key, s.room.site, s, s.edgeMetres(i)})
	}
	return list
}

func compareBars(a, b barLength) int {
	return cmp.Or(cmp.Compare(a.product, b.product), cmp.Compare(a.site, b.site))
}
