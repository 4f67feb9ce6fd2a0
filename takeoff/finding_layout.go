package takeoff

import (
	"fmt"
	"slices"

	"potlife/rooms"
)

// Figures of the trade's rules on joints, offsets and edges. Each is a default;
// the product's data sheet and local code override it.
const (
	longSide         = 381 * rooms.Millimetre // 15 in: a large format tile
	leastJoint       = rooms.Inch / 16        // never narrower
	jointVariation   = 3                      // times the variation of the tile as supplied
	offsetRectified  = rooms.Inch / 8         // average joint in an offset pattern of long tiles
	offsetCalibrated = 3 * rooms.Inch / 16    // the same, not rectified
	softLeast        = 3 * rooms.Millimetre   // a gap to what restrains the tile: 1/8 in, printed beside it as 3 mm
	softWish         = 6 * rooms.Millimetre   // and preferably, at the perimeter of a floor: 1/4 in, 6 mm
	fallTile         = 100 * rooms.Millimetre // largest tile that follows a four-way fall
	plasterKg        = 20.0                   // kg/m² on gypsum plaster
	boardKg          = 32.0                   // kg/m² on plasterboard
	flatLong         = 3 * rooms.Millimetre   // under 3 m, any side of 15 in or more
	flatShort        = 6 * rooms.Millimetre   // under 3 m, all sides shorter
	lippageNarrow    = rooms.Inch / 32        // beyond the tile's own warpage, joints below 1/4 in
	lippageWide      = rooms.Inch / 16        // the same, from 1/4 in
)

// Where the figures come from.
const (
	srcJoint    = "ANSI A108.02 §4.3.8, as reported in the trade press"
	srcLong     = "ANSI A108.02 §4.3.8.1, as reported in the trade press; the edge warpage is to be added"
	srcOffset   = "ANSI A108.02 §4.3.8.2, as reported in the trade press"
	srcCuts     = "ANSI A108.02 §4.3.2, as reported in the trade press; thresholds are common practice"
	srcSoft     = "TCNA EJ171, as reported in the trade press"
	srcFlat     = "ANSI A108.01/.02, as reported in the trade press"
	srcLippage  = "ANSI A108.02 §4.3.7, as reported in the trade press"
	srcPlaster  = "BS 5385-1:2018, as reported by a mortar maker"
	srcBoard    = "BS 5385, from memory: check the board's data sheet"
	srcPractice = "common practice"
	srcReady    = "common practice; the adhesive's data sheet decides"
)

// findings looks a laid surface over and lists what a rule of the trade remarks.
func (w *surfaceWork) findings(l *Layout) {
	where := l.Job + "/" + l.Room + "/" + l.Surface
	f := &finder{list: &l.Findings, where: where}
	f.edges(w.surface)
	f.readings(w.surface)
	f.buildUp(w.surface, w.derived)
	for i, z := range w.layers {
		if z == nil {
			continue
		}
		f.where = where + "/" + z.ground.zone.Key
		out := w.laid[i]
		if out == nil {
			f.add("empty zone", Warn, 0, 0, srcPractice, "gaps, openings and other zones leave nothing of zone %s to be tiled", z.ground.zone.Key)
			continue
		}
		f.moves(w.surface, out)
		f.joint(z)
		f.offset(z)
		f.slivers(z, out)
		f.legs(z, out)
		f.large(z)
		f.weight(w.surface, z)
		f.fall(w.surface, z)
		f.adhesive(w.surface, z)
	}
	for i := range l.Findings {
		for _, v := range w.surface.Waivers {
			if v.Rule == l.Findings[i].Rule {
				l.Findings[i].Waived = v.Why
			}
		}
	}
}

// finder collects the findings of one place.
type finder struct {
	list  *[]Finding
	where string
}

func (f *finder) add(rule, severity string, value, limit float64, source, format string, args ...any) {
	*f.list = append(*f.list, Finding{Rule: rule, Severity: severity, Where: f.where,
		Message: fmt.Sprintf(format, args...), Value: value, Limit: limit, Source: source})
}

// long is the longest side of the zone's first tile.
func (z *zoneLayer) long() rooms.Length {
	b := z.tiles[0].Shape.Box()
	return max(b.Width(), b.Height())
}

// edges checks the gaps at what restrains the tile. A wall's edges are changes
// of plane, where the joint need be no wider than the grout joint; a floor's
// perimeter is better wider.
func (f *finder) edges(s *rooms.Surface) {
	floor := s.Kind == rooms.Floor || s.Kind == rooms.ShowerFloor
	restrains := []string{rooms.InsideCorner, rooms.AtFloor, rooms.AtCeiling, rooms.AtTub, rooms.AtTray, rooms.Fixture}
	for i, e := range s.Edges {
		switch {
		case !slices.Contains(restrains, e.Meets) || e.Gap >= softWish:
		case e.Gap < softLeast:
			f.add("perimeter gap", Warn, e.Gap.Millimetres(), softLeast.Millimetres(), srcSoft,
				"%s, %s: the gap of %s is below the least for a soft joint, %s mm", s.EdgeName(i), e.Meets, e.Gap, rooms.FormatMM(softLeast, 1, rooms.Up))
		case floor:
			f.add("perimeter gap", Info, e.Gap.Millimetres(), softWish.Millimetres(), srcSoft,
				"%s, %s: the gap of %s would better be %s mm", s.EdgeName(i), e.Meets, e.Gap, rooms.FormatMM(softWish, 1, rooms.Up))
		}
	}
}

// readings lists measures that contradict each other.
func (f *finder) readings(s *rooms.Surface) {
	list, err := s.Contradictions(0)
	if err != nil {
		f.add("readings", Warn, 0, 0, srcPractice, "a check cannot be made: %v", err)
	}
	for _, c := range list {
		f.add("readings", Warn, c.Measured.Millimetres(), c.Computed.Millimetres(), srcPractice,
			"%s: measured %s, the other readings give %s; take it again", c.What,
			rooms.FormatMM(c.Measured, 1, rooms.Nearest), rooms.FormatMM(c.Computed, 1, rooms.Nearest))
	}
}

// moves lists the soft joints that long runs were given.
func (f *finder) moves(s *rooms.Surface, out *ZoneLayout) {
	for _, j := range out.Movement {
		how := "in a joint of the pattern"
		if j.Through {
			how = "straight through the tiles"
		}
		f.add("movement joint", Info, j.Width.Millimetres(), movementLimit(s).Millimetres(), srcSoft,
			"%s: one runs from (%s, %s) to (%s, %s), %s; keep it free of mortar and grout", j.Why,
			rooms.FormatMM(j.A.X, 0, rooms.Nearest), rooms.FormatMM(j.A.Y, 0, rooms.Nearest), rooms.FormatMM(j.B.X, 0, rooms.Nearest), rooms.FormatMM(j.B.Y, 0, rooms.Nearest), how)
	}
}

// joint checks the joint against the tile's variation.
func (f *finder) joint(z *zoneLayer) {
	joint := z.lay.joint
	limit := leastJoint
	for _, t := range z.tiles {
		limit = max(limit, jointVariation*t.Variation)
	}
	if joint < limit {
		f.add("joint width", Warn, joint.Millimetres(), limit.Millimetres(), srcJoint,
			"the joint of %s is below %s mm: three times the variation of the tile, and never under 1/16 in", joint, rooms.FormatMM(limit, 1, rooms.Up))
	}
}

// offset checks offset patterns of long tiles.
func (f *finder) offset(z *zoneLayer) {
	if z.long() <= longSide || z.lay.courses < 2 || len(z.lay.tiles) != z.lay.courses {
		return
	}
	limit := offsetCalibrated
	if z.tiles[0].Rectified {
		limit = offsetRectified
	}
	if z.lay.joint < limit {
		f.add("joint of long offset tile", Warn, z.lay.joint.Millimetres(), limit.Millimetres(), srcLong,
			"the joint of %s is below %s mm for a tile over 15 in in an offset pattern", z.lay.joint, rooms.FormatMM(limit, 1, rooms.Up))
	}
	pitch := z.lay.u.X
	worst := rooms.Length(0)
	for i, t := range z.lay.tiles {
		d := t.box.Min.X - z.lay.tiles[(i+1)%len(z.lay.tiles)].box.Min.X
		d = (d%pitch + pitch) % pitch
		worst = max(worst, min(d, pitch-d))
	}
	if share := float64(worst) / float64(pitch); share > 0.334 {
		f.add("offset of long tile", Warn, share, 0.33, srcOffset,
			"neighbouring courses of a tile over 15 in are offset by %.0f %%; over a third needs a mock-up that maker and owner accept", share*100)
	}
}

// slivers looks for pieces too narrow against their tile. An offset pattern of
// three and more courses cannot keep all of them at a third.
func (f *finder) slivers(z *zoneLayer, out *ZoneLayout) {
	share := int64(3)
	if n := int64(z.lay.courses); n >= 3 && len(z.lay.tiles) == z.lay.courses {
		share = n + 1
	}
	var below, tiny int
	narrowestPiece := rooms.Length(1 << 62)
	id := ""
	for _, p := range out.Pieces {
		if p.Full {
			continue
		}
		w, full := pieceWidth(p, z.tiles)
		switch {
		case w < absoluteFloor(z.tiles[0]):
			tiny++
		case rooms.Length(share)*w < full:
			below++
		default:
			continue
		}
		if w < narrowestPiece {
			narrowestPiece, id = w, p.ID
		}
	}
	floor := absoluteFloor(z.tiles[0])
	if tiny > 0 {
		f.add("sliver", Warn, narrowestPiece.Millimetres(), floor.Millimetres(), srcPractice,
			"%d pieces are narrower than %s mm, the narrowest %s with %s mm: move the origin or an edge", tiny, rooms.FormatMM(floor, 0, rooms.Up), id, rooms.FormatMM(narrowestPiece, 1, rooms.Down))
	}
	if below > 0 {
		severity, better := Warn, ""
		if z.bestOfAll() {
			severity, better = Info, "; no origin leaves less of that kind"
		}
		f.add("small cut", severity, narrowestPiece.Millimetres(), z.tiles[0].Shape.Box().Width().Millimetres()/float64(share), srcCuts,
			"%d pieces are narrower than 1/%d of their tile, the narrowest %s with %s mm%s", below, share, id, rooms.FormatMM(narrowestPiece, 1, rooms.Down), better)
	}
}

// bestOfAll reports whether the origin was the wall's own best along both axes,
// so that another one cannot do better: it is judged against what its width
// allows.
func (z *zoneLayer) bestOfAll() bool {
	d := z.ground.zone.Datum
	_, _, ok := z.axesOnly()
	_, locked := z.in.Locks[z.key]
	return ok && !locked && z.level == nil && z.carried == nil && bestWanted(d.Across) && bestWanted(d.Up)
}

// pieceWidth is the narrower way across a piece and the tile's measure the same
// way, in the tile's own frame where the piece lies square.
func pieceWidth(p Piece, tiles []Tile) (w, full rooms.Length) {
	k := slices.IndexFunc(tiles, func(t Tile) bool { return t.Key == p.Tile })
	tile := tiles[k].Shape.Box()
	by := turnBy(int(p.Degrees))
	if !by.square() {
		return narrowSide(p.Polygon.Outer), narrowSide(tiles[k].Shape)
	}
	b := by.back().ring(p.Polygon.Outer).Box()
	if float64(b.Width())*float64(tile.Height()) <= float64(b.Height())*float64(tile.Width()) {
		return b.Width(), tile.Width()
	}
	return b.Height(), tile.Height()
}

// large notes what large tiles ask of the ground and of the setter.
func (f *finder) large(z *zoneLayer) {
	if z.long() < longSide {
		f.add("flatness", Info, z.long().Millimetres(), flatShort.Millimetres(), srcFlat,
			"the ground must be flat to 6 mm under 3 m and 1.6 mm under 300 mm")
		return
	}
	f.add("flatness", Info, z.long().Millimetres(), flatLong.Millimetres(), srcFlat,
		"a tile of 15 in or more: the ground must be flat to 3 mm under 3 m and 1.6 mm under 600 mm; level before setting, not with mortar")
	limit := lippageNarrow
	if z.lay.joint >= rooms.Inch/4 {
		limit = lippageWide
	}
	f.add("lippage", Info, z.lay.joint.Millimetres(), limit.Millimetres(), srcLippage,
		"expect lippage up to the tile's own warpage and %s mm", rooms.FormatMM(limit, 1, rooms.Nearest))
	if !z.ground.zone.BackButter {
		f.add("back buttering", Info, z.long().Millimetres(), longSide.Millimetres(), srcPractice,
			"a tile of 15 in or more wants a bed for large tiles and a skim on its back; the zone says no back buttering")
	}
}

// weight holds what a wall carries against what its ground takes.
func (f *finder) weight(s *rooms.Surface, z *zoneLayer) {
	t := z.tiles[0]
	if s.Kind != rooms.Wall && s.Kind != rooms.TubSurround || t.BoxKg <= 0 || t.PerBox <= 0 {
		return
	}
	kg := t.BoxKg / float64(t.PerBox) / (t.Shape.AreaMM2() / 1e6)
	limit, source := boardKg, srcBoard
	switch s.Layer {
	case rooms.Render:
		limit, source = plasterKg, srcPlaster
	case rooms.Board:
	default:
		return
	}
	if kg > limit {
		f.add("wall weight", Warn, kg, limit, source, "the tile alone weighs %.1f kg/m², the %s carries %.0f with its mortar", kg, s.Layer, limit)
	}
}

// fall checks the tile of a shower floor.
func (f *finder) fall(s *rooms.Surface, z *zoneLayer) {
	folded := len(s.Zones) > 2 && len(z.ground.zone.Region) > 0 // cut along the folds
	if s.Kind == rooms.ShowerFloor && z.long() > fallTile && !folded {
		f.add("tile on a fall", Warn, z.long().Millimetres(), fallTile.Millimetres(), srcPractice,
			"a tile of %s does not follow a four-way fall: about 100 mm or mosaic does, or a single fall, or cuts along the folds", z.long())
	}
}

// adhesive checks ready-mixed adhesive, which dries and does not cure.
func (f *finder) adhesive(s *rooms.Surface, z *zoneLayer) {
	m, ok := z.in.Products[z.ground.zone.Mortar]
	if !ok || !m.Sheet.ReadyMixed {
		return
	}
	if s.Wet {
		f.add("ready-mixed adhesive", Warn, 1, 0, srcReady, "%s is ready-mixed and dries slowly or not at all over a membrane and in a wet area", m.Key)
	}
	if z.long() >= longSide && z.tiles[0].Material == "porcelain" {
		f.add("ready-mixed adhesive", Warn, z.long().Millimetres(), longSide.Millimetres(), srcReady,
			"%s is ready-mixed and does not dry under large porcelain", m.Key)
	}
}
