package takeoff

import (
	"cmp"
	"fmt"
	"slices"

	"potlife/rooms"
)

// Figures of the trade's rules on joints, offsets and edges that hold whatever
// the standard. Each is a default; the product's data sheet and local code
// override it.
const (
	longSide         = 381 * rooms.Millimetre // 15 in: a large format tile
	leastJoint       = rooms.Inch / 16        // never narrower
	jointVariation   = 3                      // times the variation of the tile as supplied
	offsetRectified  = rooms.Inch / 8         // average joint in an offset pattern of long tiles
	offsetCalibrated = 3 * rooms.Inch / 16    // the same, not rectified
	fallTile         = 100 * rooms.Millimetre // largest tile that follows a four-way fall
	plasterKg        = 20.0                   // kg/m² on gypsum plaster
	boardKg          = 32.0                   // kg/m² on plasterboard
	solidShare       = 0.7                    // of what a wall carries, from which tile is solid-bedded
	bedKg            = 3.0                    // kg/m² of mortar where the data sheet says nothing
	largeBedKg       = 4.9                    // kg/m² that a bed under large tile takes at least
	lippageNarrow    = rooms.Inch / 32        // beyond the tile's own warpage, joints below 1/4 in
	lippageWide      = rooms.Inch / 16        // the same, from 1/4 in
)

// Where the figures come from.
const (
	srcJoint    = "ANSI A108.02 §4.3.8, as reported in the trade press"
	srcLong     = "ANSI A108.02 §4.3.8.1, as reported in the trade press; the edge warpage, which the tile's entry does not give, is to be added"
	srcLongBow  = "ANSI A108.02 §4.3.8.1, as reported in the trade press, and the tile's own warpage"
	srcOffset   = "ANSI A108.02 §4.3.8.2, as reported in the trade press"
	srcCuts     = "ANSI A108.02 §4.3.2, as reported in the trade press; thresholds are common practice"
	srcFlat     = "ANSI A108.01/.02, as reported in the trade press"
	srcLippage  = "ANSI A108.02 §4.3.7, as reported in the trade press"
	srcPlaster  = "BS 5385-1:2018, as reported by a mortar maker"
	srcBoard    = "BS 5385, from memory: check the board's data sheet"
	srcPractice = "common practice"
	srcReady    = "common practice; the adhesive's data sheet decides"
	srcBed      = "coverage tables of mortar makers, as reported in how-to pages: a 12 mm (1/2 in) notch takes 4.9 to 6.1 kg/m²; the data sheet decides"
)

// findings looks a laid surface over and lists what a rule of the trade remarks.
func (w *surfaceWork) findings(l *Layout) {
	where := l.Job + "/" + l.Room + "/" + l.Surface
	f := &finder{figures: figures{w.in.Imperial}, standard: standardNamed(w.in.Standard), list: &l.Findings, where: where}
	f.edges(w.surface)
	f.softEdges(w.surface)
	f.bareArrises(w)
	f.mitreAngles(w)
	f.slope(w.surface)
	f.readings(w.surface)
	f.buildUp(w.surface, w.derived)
	f.strips(w.surface, w.moved)
	f.doorways(w.surface, w.moved)
	for i, z := range w.layers {
		if z == nil {
			continue
		}
		f.where = where + "/" + z.ground.zone.Key
		f.bare(z)
		out := w.laid[i]
		if out == nil {
			f.add("empty zone", Warn, 0, 0, srcPractice, "gaps, openings and other zones leave nothing of zone %s to be tiled", z.ground.zone.Key)
			continue
		}
		f.moves(w.surface, out)
		f.joint(w.surface, z)
		f.offset(z)
		f.slivers(z, out)
		f.legs(z, out)
		f.large(w.surface, z)
		f.weight(w.surface, z)
		f.fall(w.surface, z)
		f.adhesive(w.surface, z)
		f.bed(z)
	}
	f.where = where
	f.longRuns(w)
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
	figures
	standard standard
	list     *[]Finding
	where    string
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

// restraining edges hold the tile: a soft joint goes there.
var restraining = []string{rooms.InsideCorner, rooms.AtFloor, rooms.AtCeiling, rooms.AtTub, rooms.AtTray, rooms.Fixture}

// edges checks the gaps at what restrains the tile. A wall's edges are changes
// of plane, where the joint need be no wider than the grout joint; a floor's
// perimeter is better wider.
func (f *finder) edges(s *rooms.Surface) {
	t := f.standard
	least, box := t.changePlane, s.Outline.Box()
	if lies(s) {
		least = t.softLeast
		if max(box.Width(), box.Height()) <= t.softFrom {
			least = t.changePlane
		}
	}
	for i, e := range s.Edges {
		switch {
		case !slices.Contains(restraining, e.Meets) || e.Gap >= max(least, t.softWish):
		case e.Gap < least:
			f.add("perimeter gap", Warn, e.Gap.Millimetres(), least.Millimetres(), t.srcSoft,
				"%s, %s: the gap of %s is below the least for a soft joint, %s", s.EdgeName(i), e.Meets, f.limit(e.Gap), f.limit(least))
		case lies(s) && e.Gap < t.softWish:
			f.add("perimeter gap", Info, e.Gap.Millimetres(), t.softWish.Millimetres(), t.srcSoft,
				"%s, %s: the gap of %s would better be %s", s.EdgeName(i), e.Meets, f.limit(e.Gap), f.limit(t.softWish))
		}
	}
}

// softEdges looks for changes of plane that are closed with something hard.
func (f *finder) softEdges(s *rooms.Surface) {
	if !slices.ContainsFunc(s.Zones, func(z rooms.Zone) bool { return z.Tile != "" }) {
		return
	}
	for i, e := range s.Edges {
		if e.Fill == rooms.FillGrout && slices.Contains(restraining, e.Meets) {
			f.add("movement joint missing", Warn, 0, f.standard.changePlane.Millimetres(), f.standard.srcSoft,
				"%s, %s, is grouted; where tile meets what restrains it the joint is soft: sealant over the full depth", s.EdgeName(i), e.Meets)
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
		leans := ""
		if c.IfLeaning > 0 {
			leans = fmt.Sprintf(": where the surface leans it reads %s, else a side or this one was misread", f.length(c.IfLeaning, 1, rooms.Nearest))
		}
		f.add("readings", Warn, c.Measured.Millimetres(), c.Computed.Millimetres(), srcPractice,
			"%s: measured %s, the other readings give %s; %s%s", c.What,
			f.length(c.Measured, 1, rooms.Nearest), f.length(c.Computed, 1, rooms.Nearest), c.Again, leans)
	}
}

// moves lists the soft joints that long runs were given.
func (f *finder) moves(s *rooms.Surface, out *ZoneLayout) {
	limit, source := f.standard.movementLimit(s)
	for _, j := range out.Movement {
		how := "in a joint of the pattern"
		if j.Through {
			how = "straight through the tiles"
		}
		f.add("movement joint", Info, j.Width.Millimetres(), limit.Millimetres(), source,
			"%s: one runs from (%s, %s) to (%s, %s), %s; keep it free of mortar and grout", j.Why,
			f.length(j.A.X, 0, rooms.Nearest), f.length(j.A.Y, 0, rooms.Nearest), f.length(j.B.X, 0, rooms.Nearest), f.length(j.B.Y, 0, rooms.Nearest), how)
		if j.Width < f.standard.moveLeast {
			f.add("movement joint width", Warn, j.Width.Millimetres(), f.standard.moveLeast.Millimetres(), f.standard.srcMove,
				"the soft joint from (%s, %s) lies in a joint of %s; the least is %s: widen the joint there, or use a profile",
				f.length(j.A.X, 0, rooms.Nearest), f.length(j.A.Y, 0, rooms.Nearest), f.limit(j.Width), f.limit(f.standard.moveLeast))
		}
	}
}

// longRuns looks for runs over several zones that no soft joint divides.
func (f *finder) longRuns(w *surfaceWork) {
	s := w.surface
	limit, source := f.standard.movementLimit(s)
	box := w.ground.outline.Outer.Box()
	for _, up := range []bool{false, true} {
		run := box.Width()
		if up {
			run = box.Height()
		}
		if run <= limit+limit/50 || w.divided(up, box, limit) {
			continue
		}
		way := "across"
		if up {
			way = "up"
		}
		f.add("movement joint missing", Warn, run.Millimetres(), limit.Millimetres(), source,
			"the run %s of %s is longer than %s and no soft joint divides it: give the surface one, where two zones meet for instance", way, f.run(run), f.run(limit))
	}
}

// divided reports whether soft joints across the axis leave no run over the
// limit.
func (w *surfaceWork) divided(up bool, box rooms.Box, limit rooms.Length) bool {
	low, high := box.Min.X, box.Max.X
	if up {
		low, high = box.Min.Y, box.Max.Y
	}
	at := []rooms.Length{low, high}
	note := func(a, b rooms.Point) {
		if up {
			a, b = rooms.Point{X: a.Y, Y: a.X}, rooms.Point{X: b.Y, Y: b.X}
		}
		if absLen(b.Y-a.Y) > absLen(b.X-a.X) {
			at = append(at, a.X+(b.X-a.X)/2)
		}
	}
	for _, j := range w.surface.SoftJoints {
		note(j.A, j.B)
	}
	tiled := false
	for _, z := range w.laid {
		if z == nil {
			continue
		}
		tiled = true
		for _, j := range z.Movement {
			note(j.A, j.B)
		}
	}
	slices.Sort(at)
	for i := range at[1:] {
		// Gaps and openings at the ends are no part of the run.
		if at[i+1]-at[i] > limit+limit/50 {
			return !tiled
		}
	}
	return true
}

// joint checks the joint against the tile's variation and the standard's least.
func (f *finder) joint(s *rooms.Surface, z *zoneLayer) {
	joint := z.lay.joint
	var limit, varied rooms.Length
	source := ""
	for i := range z.tiles {
		if least, src := f.standard.least(&z.tiles[i], lies(s)); least > limit {
			limit, source = least, src
		}
		varied = max(varied, jointVariation*z.tiles[i].Variation)
	}
	why := "the least for such a tile"
	if varied > limit {
		limit, source, why = varied, srcJoint, "three times the variation of the tile as supplied"
	}
	if joint < limit {
		f.add("joint width", Warn, joint.Millimetres(), limit.Millimetres(), source,
			"the joint of %s is below %s, %s", f.limit(joint), f.length(limit, 1, rooms.Up), why)
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
	limit, source, why := limit+z.tiles[0].Warpage, srcLong, ""
	if bow := z.tiles[0].Warpage; bow > 0 {
		source, why = srcLongBow, fmt.Sprintf(", %s of them for the bow of its longest edge", f.fine(bow, rooms.Up))
	}
	if z.lay.joint < limit {
		f.add("joint of long offset tile", Warn, z.lay.joint.Millimetres(), limit.Millimetres(), source,
			"the joint of %s is below %s%s, for a tile over %s in an offset pattern", f.fine(z.lay.joint, rooms.Nearest), f.fine(limit, rooms.Up), why, f.limit(longSide))
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
			"neighbouring courses of a tile over %s are offset by %.0f %%; over a third needs a mock-up that maker and owner accept", f.limit(longSide), share*100)
	}
}

// lippage says how far neighbours may stand above each other. Where the standard
// adds the tile's own warpage that is the sum of both as far as it is known.
func (f *finder) lippage(z *zoneLayer) {
	limit, bow := f.standard.lippage(z.lay.joint), rooms.Length(0)
	for i := range z.tiles {
		bow = max(bow, z.tiles[i].Warpage)
	}
	switch {
	case !f.standard.warpage:
		if bow <= limit {
			f.add("lippage", Info, z.lay.joint.Millimetres(), limit.Millimetres(), f.standard.srcLip, "expect lippage up to %s", f.fine(limit, rooms.Nearest))
			return
		}
		f.add("lippage", Warn, bow.Millimetres(), limit.Millimetres(), f.standard.srcLip,
			"the tile's own warpage of %s is more than the lippage allowed, %s", f.fine(bow, rooms.Up), f.fine(limit, rooms.Nearest))
	case bow == 0:
		f.add("lippage", Info, z.lay.joint.Millimetres(), limit.Millimetres(), f.standard.srcLip,
			"expect lippage up to %s beyond the tile's own warpage, which its entry does not give", f.fine(limit, rooms.Nearest))
	default:
		f.add("lippage", Info, z.lay.joint.Millimetres(), (limit + bow).Millimetres(), f.standard.srcLip,
			"expect lippage up to %s: %s beyond the tile's own warpage of %s", f.fine(limit+bow, rooms.Up), f.fine(limit, rooms.Nearest), f.fine(bow, rooms.Up))
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
			narrowestPiece, id = w, p.Label
		}
	}
	floor := absoluteFloor(z.tiles[0])
	if tiny > 0 {
		f.add("sliver", Warn, narrowestPiece.Millimetres(), floor.Millimetres(), srcPractice,
			"%s narrower than %s, the narrowest, piece %s, with %s: move the origin or an edge", several(tiny, "piece is", "pieces are"),
			f.length(floor, 0, rooms.Up), id, f.length(narrowestPiece, 1, rooms.Down))
	}
	if below > 0 {
		severity, better := Warn, ""
		if z.bestOfAll() { // of each stretch as its width allows, which may take a piece more of them
			severity, better = Info, "; the best that the widths allow, all taken together"
		} else if z.searched && tiny == 0 && share == 3 && z.framed() == nil && !slices.ContainsFunc(out.Movement, MovementJoint.through) {
			severity, better = Info, "; no origin leaves less of that kind"
		} else if z.carried != nil {
			severity, better = Info, "; the courses go on round the corner"
		} else if z.common != nil {
			severity, better = Info, "; the joints go on across the folds"
		}
		f.add("small cut", severity, narrowestPiece.Millimetres(), z.tiles[0].Shape.Box().Width().Millimetres()/float64(share), srcCuts,
			"%s narrower than 1/%d of the tile, the narrowest, piece %s, with %s%s", several(below, "piece is", "pieces are"), share, id, f.length(narrowestPiece, 1, rooms.Down), better)
	}
}

// bestOfAll reports whether the origin was the wall's own best along both axes,
// so that another one cannot do better: it is judged against what its width
// allows.
func (z *zoneLayer) bestOfAll() bool {
	d := z.ground.zone.Datum
	_, _, ok := z.axesOnly()
	_, locked := z.in.Locks[z.key]
	return ok && !locked && z.level == nil && z.carried == nil && z.common == nil && bestWanted(d.Across) && bestWanted(d.Up)
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

// large notes what the tiles' size asks of the ground and of the setter.
func (f *finder) large(s *rooms.Surface, z *zoneLayer) {
	g := f.standard.flat(z.long(), lies(s))
	flat := g.metric
	if f.imperial {
		flat = g.imperial
	}
	level := ""
	if z.long() >= longSide {
		level = "; level before setting, not with mortar"
	}
	f.add("flatness", Info, z.long().Millimetres(), g.off.Millimetres(), g.source,
		"for a tile of %s the ground must be flat to %s%s", f.limit(z.long()), flat, level)
	bow := slices.ContainsFunc(z.tiles, func(t Tile) bool { return t.Warpage > 0 })
	if z.long() >= longSide || bow {
		f.lippage(z)
	}
	if z.long() < longSide {
		return
	}
	if !z.ground.zone.BackButter {
		f.add("back buttering", Info, z.long().Millimetres(), longSide.Millimetres(), srcPractice,
			"a tile of %s or more wants a bed for large tiles and a skim on its back; none is asked for", f.limit(longSide))
	}
}

// adhesive checks ready-mixed adhesive, which dries and does not cure.
func (f *finder) adhesive(s *rooms.Surface, z *zoneLayer) {
	m, ok := z.in.Products[z.ground.zone.Mortar]
	if !ok || !m.Sheet.ReadyMixed {
		return
	}
	if s.Wet || s.Kind == rooms.ShowerFloor {
		f.add("ready-mixed adhesive", Warn, 1, 0, srcReady, "%s is ready-mixed and does not hold in a wet area", cmp.Or(m.Name, m.Key))
	}
	if slices.Contains(s.Prepare, "membrane") || s.Layer == rooms.Membrane {
		f.add("ready-mixed adhesive", Warn, 1, 0, srcReady, "%s is ready-mixed and dries slowly or not at all over a membrane", cmp.Or(m.Name, m.Key))
	}
	if z.long() >= longSide && z.tiles[0].Material == "porcelain" {
		f.add("ready-mixed adhesive", Warn, z.long().Millimetres(), longSide.Millimetres(), srcReady,
			"%s is ready-mixed and does not dry under large porcelain", cmp.Or(m.Name, m.Key))
	}
}

// bed checks that a large tile does not lie on a thin bed.
func (f *finder) bed(z *zoneLayer) {
	m, ok := z.in.Products[z.ground.zone.Mortar]
	kg := m.Sheet.PerM2
	if z.ground.zone.BackButter {
		kg += BackButter
	}
	if !ok || m.Sheet.ReadyMixed || m.Unit != "kg" || m.Sheet.PerM2 <= 0 || z.long() < longSide || kg >= largeBedKg {
		return
	}
	f.add("thin bed", Warn, kg, largeBedKg, srcBed, "%s at %s, skim included, is a thin bed; a tile of %s or more takes about %s",
		cmp.Or(m.Name, m.Key), f.load(kg), f.limit(longSide), f.load(largeBedKg))
}
