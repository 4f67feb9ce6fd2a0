package takeoff

import (
	"fmt"

	"potlife/rooms"
)

// GroutDensity is the dry consumption of cement grout in kg per litre of joint:
// 1.5 to 1.8, 1.6 usual (makers' consumption formulas).
const GroutDensity = 1.6

// GroutKgPerM2 is the consumption by the exact formula for a grid of tiles a ×
// b with joints of width c and depth d: the joint's share of the area, by depth
// and density. The usual form (a+b)/(a·b)·c·d·F counts the crossings twice.
func GroutKgPerM2(a, b, c, d rooms.Length, density float64) float64 {
	am, bm, cm := a.Millimetres(), b.Millimetres(), c.Millimetres()
	share := 1 - float64(am*bm)/float64((am+cm)*(bm+cm))
	return float64(share*d.Millimetres()) * density
}

// needGrout takes each zone's grout by the true volume of its joints: the cover
// less the pieces, and the gaps at edges that are grouted, over the thickness of
// the tile.
func (t *taker) needGrout(s *takenSurface, edges []int) {
	for i := range s.layout.Zones {
		z := &s.layout.Zones[i]
		p := t.products[z.Zone.Grout]
		if p == nil {
			if p = t.in.Catalogue.Of(KindGrout); p == nil {
				t.needKind(KindGrout, s, nil)
				continue
			}
		}
		joint, depth := t.jointMM2(z), t.jointDepth(z)
		inside := t.stoneJointsMM2(z)
		joint += inside
		if i == 0 {
			joint += s.groutedGapsMM2(edges)
		}
		if inside == 0 && z.Zone.Pattern == mosaicSheets {
			t.findStones(s, z)
		}
		density, from := GroutDensity, "usual for cement grout"
		if p.Sheet.Density > 0 {
			density, from = p.Sheet.Density, "data sheet"
		}
		t.need(p, s, float64(joint*depth)/1e6*density,
			fmt.Sprintf("true joint volume%s, %s mm deep at %s kg/l (%s)", stonesToo(inside), trimmed(depth, 1), trimmed(density, 2), from))
	}
}

// mosaicSheets is the pattern of a mosaic that comes in sheets.
const mosaicSheets = "mosaic sheets"

func stonesToo(inside float64) string {
	if inside > 0 {
		return ", between the stones too"
	}
	return ""
}

// stoneJointsMM2 is the area of the joints inside the sheets of a zone: those between
// their stones, which lie as far apart as the sheets do.
func (t *taker) stoneJointsMM2(z *ZoneLayout) float64 {
	a := 0.0
	for i := range z.Pieces {
		p := &z.Pieces[i]
		a += float64(pieceMM2(p) * stoneJointShare(t.tiles[p.Tile], z.Zone.Joint))
	}
	return a
}

// stoneJointShare is the share of a sheet that its own joints take: what its whole
// number of stones, a joint apart, leave of it. A sheet without stones has none.
func stoneJointShare(t *Tile, joint rooms.Length) float64 {
	w, h := t.StoneWidth, t.StoneHeight
	if w <= 0 || h <= 0 || !isBox(rooms.Polygon{Outer: t.Shape}) {
		return 0
	}
	b := t.Shape.Box()
	across, up := (b.Width()+joint+(w+joint)/2)/(w+joint), (b.Height()+joint+(h+joint)/2)/(h+joint) // rounded
	stones := float64(across*up) * float64(w.Millimetres()*h.Millimetres())
	return max(0, 1-stones/float64(b.Width().Millimetres()*b.Height().Millimetres()))
}

// findStones says of which mosaic the stones are not known: by far the most of its
// grout goes between them.
func (t *taker) findStones(s *takenSurface, z *ZoneLayout) {
	name := t.in.Catalogue.called(z.Zone.Tile)
	t.find(Finding{Rule: "mosaic without stones", Severity: Warn, Where: s.key,
		Message: fmt.Sprintf("%s comes in sheets and does not say how large its stones are: the grout between them is not counted; give stone_width and stone_height", name),
		Source:  "the joint's share of the area, by depth and density (makers' consumption formulas)"})
}

// jointMM2 is the area of a zone's joints: its cover less its pieces, and less
// those of the pattern's joints that are soft.
func (t *taker) jointMM2(z *ZoneLayout) float64 {
	a := float64(coverM2(z) * 1e6)
	for i := range z.Pieces {
		a -= pieceMM2(&z.Pieces[i])
	}
	for _, j := range z.Movement {
		if !j.Through {
			a -= float64(segmentMetres(j.A, j.B) * 1000 * j.Width.Millimetres())
		}
	}
	return max(0, a)
}

// jointDepth is the mean thickness of a zone's tiles in mm, by laid area.
func (t *taker) jointDepth(z *ZoneLayout) float64 {
	sum, area := 0.0, 0.0
	for i := range z.Pieces {
		a := pieceMM2(&z.Pieces[i])
		sum += float64(a * t.tiles[z.Pieces[i].Tile].Thickness.Millimetres())
		area += a
	}
	if area == 0 {
		return 0
	}
	return sum / area
}

// groutedGapsMM2 is the area of gaps along openings and the edges given that are
// grouted.
func (s *takenSurface) groutedGapsMM2(edges []int) float64 {
	a := 0.0
	for _, i := range edges {
		if e := s.Edges[i]; e.Fill == rooms.FillGrout || e.Fill == rooms.FillMitre {
			a += float64(s.edgeMetres(i) * 1000 * e.Gap.Millimetres())
		}
	}
	for _, o := range s.Openings {
		if o.Fill == rooms.FillGrout || o.Fill == rooms.FillMitre {
			a += float64(perimeterMetres(o.Outline) * 1000 * o.Gap.Millimetres())
		}
	}
	return a
}

func perimeterMetres(r rooms.Ring) float64 {
	m := 0.0
	for i, p := range r {
		m += segmentMetres(p, r[(i+1)%len(r)])
	}
	return m
}
