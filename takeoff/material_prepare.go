package takeoff

import (
	"fmt"
	"slices"

	"potlife/rooms"
)

// Defaults of what goes under the tile, where the data sheet says nothing.
const (
	// MembranePerM2 in litres or kg over all coats: about 55 ft² to the US gallon
	// for a known liquid membrane (from memory; the pail says).
	MembranePerM2 = 0.74
	// MembraneBand is how far corners are coated beforehand, on each side: 6 in
	// (150 mm) as reported of a maker's guide.
	MembraneBand = 150 * rooms.Millimetre
	// MembraneLap is what seams of a sheet membrane take: 50 mm (as reported of a
	// maker's guide) on each metre of a roll's width.
	MembraneLap = 0.05
	// PrimerPerM2 in litres or kg: common practice.
	PrimerPerM2 = 0.15
	// LevellerPerMM in kg per m² and mm of depth: common practice (bed mortars
	// take 1.2 to 1.6 by published figures).
	LevellerPerMM = 1.7
	// LevellerDepth where the surface gives none: 3 mm, common practice.
	LevellerDepth = 3 * rooms.Millimetre
	// ScrewsPerM2: every 200 mm each way (makers' guides) makes about 38.
	ScrewsPerM2 = 38
)

// needPreparation takes what lies under the tile: primer, leveller, board with
// its screws, membrane with its bands.
func (t *taker) needPreparation(s *takenSurface) {
	has := func(step string) bool { return slices.Contains(s.Prepare, step) }
	m2 := s.m2()
	if has("prime") || has("level") {
		t.needKind(KindPrimer, s, func(p *Product) (float64, string) {
			rate, from := orDefault(p.Sheet.PerM2, PrimerPerM2)
			return m2 * rate, fmt.Sprintf("%s %s/m² (%s)", trimmed(rate, 3), p.Unit, from)
		})
	}
	if has("level") {
		depth := s.LevellerDepth
		if depth == 0 {
			depth = LevellerDepth
		}
		t.needKind(KindLeveller, s, func(p *Product) (float64, string) {
			rate, from := orDefault(p.Sheet.PerMM, LevellerPerMM)
			return float64(m2*rate) * depth.Millimetres(), fmt.Sprintf("%s kg/m² and mm (%s), %s deep", trimmed(rate, 2), from, depth)
		})
	}
	if has("board") {
		t.needBoard(s, m2)
	}
	if has("membrane") || s.Wet {
		t.needMembrane(s, m2)
	}
}

func (t *taker) needBoard(s *takenSurface, m2 float64) {
	t.needKind(KindBoard, s, func(p *Product) (float64, string) {
		if p.panels() > 0 {
			return m2, "area of the surface, cut from " + p.panelText()
		}
		return m2, "area of the surface"
	})
	if t.in.Catalogue.Of(KindScrew) != nil {
		t.needKind(KindScrew, s, func(*Product) (float64, string) {
			return float64(ceilCount(m2 * ScrewsPerM2)), fmt.Sprintf("%d to the m² (every 200 mm each way)", ScrewsPerM2)
		})
	}
}

// needMembrane takes all coats over the surface and one more coat on the bands
// along inside corners and openings.
func (t *taker) needMembrane(s *takenSurface, m2 float64) {
	t.needKind(KindMembrane, s, func(p *Product) (float64, string) {
		band := float64(s.bandMetres() * MembraneBand.Metres())
		if p.panels() > 0 {
			return m2 + band, fmt.Sprintf("area and bands %s wide along corners, cut from %s with laps of %s", MembraneBand, p.panelText(), membraneLap)
		}
		if p.Unit == "m2" {
			net := m2*(1+MembraneLap) + band
			return net, fmt.Sprintf("area, %s for seams that lap 50 mm on rolls 1 m wide (derived), and bands %s wide along corners", percent(MembraneLap), MembraneBand)
		}
		rate, from := orDefault(p.Sheet.PerM2, MembranePerM2)
		if p.Sheet.PerM2 <= 0 {
			from = "from memory: about 55 ft² to the gallon; the pail says"
		}
		coats := max(1, p.Sheet.Coats)
		if p.Sheet.Coats == 0 {
			coats = 2
		}
		net := float64(m2*rate) + float64(band*rate)/float64(coats)
		return net, fmt.Sprintf("%s %s/m² over %s (%s), one more coat on bands %s wide along corners and openings", trimmed(rate, 3), p.Unit, count(coats, "coat"), from, MembraneBand)
	})
}

// bandMetres is the length of what is coated beforehand on this surface's side.
func (s *takenSurface) bandMetres() float64 {
	m := 0.0
	for i, e := range s.Edges {
		switch e.Meets {
		case rooms.InsideCorner, rooms.AtFloor, rooms.AtTub, rooms.AtTray, rooms.Doorway:
			m += s.edgeMetres(i)
		}
	}
	for _, o := range s.Openings {
		m += perimeterMetres(o.Outline)
	}
	return m
}

// orDefault takes the data sheet's figure, else the trade's, and says which.
func orDefault(sheet, trade float64) (rate float64, from string) {
	if sheet > 0 {
		return sheet, "data sheet"
	}
	return trade, "common practice"
}
