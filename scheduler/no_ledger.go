package scheduler

import (
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// withoutLedger says where a field that was to start over a ledger starts at the bottom:
// nothing of its tile lies under its level line. What is set already is not told.
func (m *maker) withoutLedger(p *Plan, r *roomWork) (out []takeoff.Finding) {
	for _, f := range r.surfaces {
		if !f.src.Ledger || f.layout == nil || f.pieces == 0 || slices.ContainsFunc(f.layout.Zones, hasLow) || !m.setLater(p, f.key) {
			continue
		}
		text := "no ledger: nothing of its tile lies under its level line, and it is set from its first course"
		if r.room.Order == FloorBeforeLowWalls && f.src.Kind != rooms.Ceiling {
			text = "its tile stands so that no bottom course can be left out: it is set down to the floor before that is in; choose another order of work, or another turn of its tile"
		}
		out = append(out, takeoff.Finding{Rule: "ledger", Severity: takeoff.Info, Where: f.key, Message: text, Source: "its layout"})
	}
	return out
}

// hasLow reports whether pieces of a zone lie under its level line.
func hasLow(z takeoff.ZoneLayout) bool {
	return slices.ContainsFunc(z.Pieces, func(q takeoff.Piece) bool {
		return len(q.Polygon.Outer) > 0 && underLevel(q.Polygon.Outer.Box().Min.Y, &z)
	})
}

// setLater reports whether any of a surface's tile is still planned to be set.
func (m *maker) setLater(p *Plan, surface string) bool {
	return slices.ContainsFunc(p.Areas, func(a Area) bool {
		return m.planned(a.Activity) && slices.Contains(a.Surfaces, surface)
	})
}
