package scheduler

import (
	"fmt"
	"strings"

	"potlife/takeoff"
)

// keptSizes says which surfaces keep the size they are drawn for although the lot
// they take measures another, and why: whoever sets them holds the module by the
// joints.
func (m *maker) keptSizes() (out []takeoff.Finding) {
	lots := map[[2]string]string{} // tile of the plan, lot group → lot
	for _, r := range m.taken.Rows {
		lots[[2]string{r.Tile, r.Group}] = r.Lot
	}
	issued := map[string]bool{}
	for k := range m.kept.locks {
		issued[k[:strings.LastIndexByte(k, '/')]] = true
	}
	for i := range m.layouts {
		l := &m.layouts[i]
		if !m.locked(l.Surface) {
			continue
		}
		for _, z := range l.Zones {
			lot := lots[[2]string{z.Zone.Tile, m.taken.GroupOf(l.Surface)}]
			of, other := m.ofLot(takeoff.GoodsKey(z.Zone.Tile), lot)
			if lot == "" || !other || of.Key == z.Zone.Tile {
				continue
			}
			why := "its courses run round a corner to a wall of which pieces are issued"
			if issued[l.Surface] {
				why = "pieces of it are issued"
			}
			was, is := m.tiles[z.Zone.Tile].Shape.Box(), of.Shape.Box()
			out = append(out, takeoff.Finding{Rule: "calibre", Severity: takeoff.Info, Where: l.Surface, Source: "what is issued stays as it is",
				Message: fmt.Sprintf("%s stays drawn for tile of %s × %s mm, although lot %s of %s measures %s × %s mm: %s. Hold the module by the joints, and measure before the last piece of a course",
					m.works.called.surfaces[l.Surface], tenths(was.Width().Millimetres()), tenths(was.Height().Millimetres()), lot, m.works.called.product(takeoff.GoodsKey(z.Zone.Tile)),
					tenths(is.Width().Millimetres()), tenths(is.Height().Millimetres()), why)})
		}
	}
	return out
}

// tenths writes millimetres to a tenth.
func tenths(mm float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", mm), ".0") }
