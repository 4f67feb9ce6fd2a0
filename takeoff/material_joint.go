package takeoff

import (
	"fmt"
	"math"

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

// leastRod is the narrowest joint that takes a backer rod; below it, and where tile
// and bed are too thin to hold rod and sealant, a bond-breaking tape does.
const leastRod = 6 * rooms.Millimetre

// rodOver is how much wider than its joint a rod is (from memory: a quarter to a
// third; 3/8 in for a joint of 1/4 in).
const rodOver = 0.25

// bead is one soft joint: how wide, how deep the sealant, and whether a rod fits
// behind it.
type bead struct {
	width, depth rooms.Length
	rod          bool
	metres       float64
}

// beadIn fits a joint into tile and bed of a thickness: the sealant is no deeper
// than that, and a rod, which squeezed is about as deep as the joint is wide, lies
// behind it where there is room.
func beadIn(width, thickness rooms.Length, metres float64) bead {
	b := bead{width: width, depth: SealantDepth(width), metres: metres}
	if thickness > 0 {
		b.depth = min(b.depth, thickness)
	}
	b.rod = width >= leastRod && thickness >= b.depth+width
	return b
}

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

// needSealant takes the soft joints of a surface and the rod behind those that hold
// one.
func (t *taker) needSealant(s *takenSurface, edges []int) []barLength {
	thickness := t.tileAndBed(s)
	var beads []bead
	add := func(width rooms.Length, metres float64) {
		if width > 0 && metres > 0 {
			beads = append(beads, beadIn(width, thickness, metres))
		}
	}
	for _, i := range edges {
		if s.Edges[i].Fill == rooms.FillSealant {
			add(s.Edges[i].Gap, s.edgeMetres(i))
		}
	}
	for _, o := range s.Openings {
		if o.Fill == rooms.FillSealant {
			add(o.Gap, perimeterMetres(o.Outline))
		}
	}
	for _, j := range s.SoftJoints {
		add(j.Width, segmentMetres(j.A, j.B))
	}
	for _, z := range s.layout.Zones {
		for _, j := range z.Movement {
			add(j.Width, segmentMetres(j.A, j.B))
		}
	}
	if len(beads) == 0 {
		return nil
	}
	ml := 0.0
	for _, b := range beads {
		ml += float64(SealantMl(b.width, b.depth) * b.metres)
	}
	if p := t.sealant(s); p == nil {
		t.needKind(KindSealant, s, nil)
	} else {
		net := ml
		if p.Unit == "l" {
			net /= 1000
		}
		t.need(p, s, net, fmt.Sprintf("soft joints, width × depth: %s", beadWords(beads)))
	}
	return t.needRods(s, beads)
}

// needRods takes for each joint the thinnest of the firm's rods that is a quarter
// wider; rods whose diameter is not given serve every joint. What comes on a roll
// is counted by the metre, what comes in lengths returned joint by joint.
func (t *taker) needRods(s *takenSurface, beads []bead) (bars []barLength) {
	if t.in.Catalogue.Of(KindBacker) == nil {
		return nil
	}
	metres, how := map[*Product]float64{}, map[*Product]string{}
	for n, b := range beads {
		if !b.rod {
			continue
		}
		least := b.width + rooms.Length(float64(b.width)*rodOver)
		p := t.rodFor(least)
		if p == nil {
			t.findLack(s, fmt.Sprintf("backer rod of %s mm and more", words(least)), "the joint's width and a quarter (from memory)")
			continue
		}
		how[p] = fmt.Sprintf("behind soft joints of %s and more that are deep enough", leastRod)
		if p.Diameter > 0 {
			how[p] = fmt.Sprintf("behind soft joints, a rod of %s mm for %s mm wide (a quarter more: from memory)", words(p.Diameter), words(b.width))
		}
		if bar := p.bar(); bar > 0 {
			l := rooms.Length(math.Round(b.metres * float64(rooms.Metre)))
			bars = append(bars, barLength{product: p.Key, site: s.room.site, surface: s, name: fmt.Sprintf("joint %d", n), drawn: l, least: l, most: l,
				how: how[p] + ", cut from lengths of " + trimmed(bar.Metres(), 3) + " m"})
			continue
		}
		metres[p] += b.metres
	}
	for i := range t.in.Catalogue.Products {
		if p := &t.in.Catalogue.Products[i]; metres[p] > 0 {
			t.need(p, s, metres[p], how[p])
		}
	}
	return bars
}

// rodFor is the thinnest rod of a diameter at least, else one without a diameter.
func (t *taker) rodFor(least rooms.Length) (best *Product) {
	for i := range t.in.Catalogue.Products {
		p := &t.in.Catalogue.Products[i]
		switch {
		case p.Kind != KindBacker || p.Diameter > 0 && p.Diameter < least:
		case best == nil, p.Diameter > 0 && (best.Diameter == 0 || p.Diameter < best.Diameter):
			best = p
		}
	}
	return best
}

// tileAndBed is the thickness of tile and bed on a surface, the thickest of its
// zones; 0 where nothing is tiled.
func (t *taker) tileAndBed(s *takenSurface) rooms.Length {
	most := rooms.Length(0)
	for i := range s.layout.Zones {
		tile := t.zoneTile(&s.layout.Zones[i])
		b, bed := tile.Shape.Box(), thinBed
		if max(b.Width(), b.Height()) >= longSide {
			bed = largeBed
		}
		most = max(most, tile.Thickness+bed)
	}
	return most
}

// beadWords prints the range of beads: "5 × 5 mm", "5 × 5 to 10 × 6 mm", and what
// lies behind them.
func beadWords(beads []bead) string {
	low, high := beads[0], beads[0]
	rods := 0
	for _, b := range beads {
		if b.width < low.width {
			low = b
		}
		if b.width > high.width {
			high = b
		}
		if b.rod {
			rods++
		}
	}
	size := func(b bead) string {
		return trimmed(b.width.Millimetres(), 1) + " × " + trimmed(b.depth.Millimetres(), 1)
	}
	text := size(low)
	if low.width != high.width {
		text += " to " + size(high)
	}
	switch rods {
	case 0:
		return text + " mm, over tape"
	case len(beads):
		return text + " mm, over rod"
	}
	return text + " mm, over rod where it fits, else tape"
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
