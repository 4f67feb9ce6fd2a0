package takeoff

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// LayOut lays out all surfaces of a room that have a zone with a tile, in the
// order of the room. It needs no clock and gives the same pieces for the same
// input, byte for byte. An error names the surface and zone it concerns.
func LayOut(in RoomToLay) ([]Layout, error) {
	var works []*surfaceWork
	seen := viewOf(&in.Room)
	for i := range in.Room.Surfaces {
		s := &in.Room.Surfaces[i]
		if !slices.ContainsFunc(s.Zones, func(z rooms.Zone) bool { return z.Tile != "" }) {
			continue
		}
		w, err := prepareSurface(in, s, seen)
		if err != nil {
			return nil, err
		}
		works = append(works, w)
	}
	shareLevels(works)
	return layInOrder(works)
}

// LaySurface lays out one surface by itself, without regard to the levels of
// the room's other walls.
func LaySurface(in RoomToLay, s *rooms.Surface) (Layout, error) {
	w, err := prepareSurface(in, s, viewOf(&in.Room))
	if err != nil {
		return Layout{}, err
	}
	return w.lay()
}

// surfaceWork is a surface prepared to be laid: one layer for each zone, nil
// for zones without a tile.
type surfaceWork struct {
	in      RoomToLay
	surface *rooms.Surface
	ground  *ground
	layers  []*zoneLayer
	planes  []foldedZone
	laid    []*ZoneLayout // by layer; nil where nothing is laid
	derived bool          // its build-up follows from the neighbours
	moved   []innerLine   // inner lines of strips along its edges
}

func prepareSurface(in RoomToLay, s *rooms.Surface, v *view) (*surfaceWork, error) {
	said := s
	s = builtUp(in, s)
	derived := s != said
	s, moved := stripped(in, s)
	s, planes, err := folded(s)
	if err != nil {
		return nil, fmt.Errorf("room %s: %w", in.Room.Key, err)
	}
	g, err := groundOf(s, planes)
	if err != nil {
		return nil, fmt.Errorf("room %s: %w", in.Room.Key, err)
	}
	w := &surfaceWork{in: in, surface: s, ground: g, planes: planes, derived: derived, moved: moved}
	for i := range g.zones {
		z, err := prepareZone(in, s, v, &g.zones[i])
		if err != nil {
			return nil, w.fail(i, err)
		}
		w.layers = append(w.layers, z)
	}
	w.letterZones()
	return w, nil
}

// letterZones gives each zone with a tile a letter where a surface has several: a
// number alone would be written on the back of a tile of each.
func (w *surfaceWork) letterZones() {
	tiled := slices.DeleteFunc(slices.Clone(w.layers), func(z *zoneLayer) bool { return z == nil })
	if len(tiled) < 2 {
		return
	}
	for i, z := range tiled {
		z.letter = string(rune('A' + i%26))
		if i >= 26 {
			z.letter = string(rune('A'+i/26-1)) + z.letter
		}
	}
}

func (w *surfaceWork) fail(zone int, err error) error {
	return fmt.Errorf("room %s, surface %s, zone %s: %w", w.in.Room.Key, w.surface.Key, w.ground.zones[zone].zone.Key, err)
}

// lay lays the prepared zones. Zones without a tile and those of which gaps and
// openings leave nothing are not among the layout's zones.
func (w *surfaceWork) lay() (Layout, error) {
	l := Layout{Job: w.in.Job, Site: w.in.Site, Room: w.in.Room.Key, Surface: w.surface.Key,
		Outline: w.ground.outline, Openings: w.ground.openings, Edges: w.surface.Edges}
	w.laid = make([]*ZoneLayout, len(w.layers))
	if err := w.joinPlanes(); err != nil {
		return l, err
	}
	for i, z := range w.layers {
		g := &w.ground.zones[i]
		if z == nil || len(g.cover) == 0 {
			continue // nothing is set there, or nothing is left of it
		}
		out := &ZoneLayout{Zone: g.zone, Cover: g.cover}
		w.laid[i] = out
		var err error
		if out.Origin, out.Why, err = z.origin(w.surface); err == nil {
			out.RunnersUp, out.Lattice = z.runners, z.laidLattice()
			out.Movement, err = z.movement(w.surface, out.Origin)
		}
		if err == nil {
			err = z.spell(out)
			out.Free = z.freeEdges()
		}
		if err != nil {
			return l, w.fail(i, err)
		}
		z.lines(w.surface, out)
	}
	w.sharedLines()
	for _, out := range w.laid {
		if out != nil {
			l.Zones = append(l.Zones, *out)
		}
	}
	w.findings(&l)
	return l, nil
}

// zoneKey is the zone's key in the plan.
func zoneKey(in RoomToLay, s *rooms.Surface, z rooms.Zone) string {
	return strings.Join([]string{in.Job, in.Room.Key, s.Key, z.Key}, "/")
}

// zoneTiles finds the zone's tiles in the order the pattern takes them.
func zoneTiles(in RoomToLay, z rooms.Zone) ([]Tile, error) {
	var tiles []Tile
	for _, key := range append([]string{z.Tile}, z.Tiles...) {
		t, ok := in.Tiles[key]
		if !ok {
			return nil, fmt.Errorf("tile %q does not exist", key)
		}
		if len(t.Shape) < 3 || t.Shape.Box().Min != (rooms.Point{}) {
			return nil, fmt.Errorf("tile %s: its shape must start at 0, 0", key)
		}
		tiles = append(tiles, t)
	}
	return tiles, nil
}

// zoneLayer lays one zone.
type zoneLayer struct {
	in     RoomToLay
	key    string
	letter string // before its pieces' labels; "" where the surface has one zone
	ground *zoneGround
	view   *view
	tiles  []Tile
	lay    *lattice
	fill   *filler
	made   []int // border by edge of the cover
	level  *level
	// carried is where a wall goes on from another.
	carried *carried
	common  *commonOrigin // of the planes of a folded zone
	// follows is where it would go on from by itself, declined why it does not.
	follows  *follow
	declined string
	runners  []RunnerUp
	searched bool    // all origins were weighed or ruled out, tile by tile
	skipped  Skipped // by the numbers of its pieces
	marks    map[string][]mark
}

// prepareZone makes the zone's lattice and cover; nil for a zone without a tile.
func prepareZone(in RoomToLay, s *rooms.Surface, v *view, g *zoneGround) (*zoneLayer, error) {
	if g.zone.Tile == "" {
		return nil, nil
	}
	tiles, err := zoneTiles(in, g.zone)
	if err != nil {
		return nil, err
	}
	pattern, err := PatternNamed(g.zone.Pattern, in.Patterns)
	if err != nil {
		return nil, err
	}
	if g.zone.Joint < 0 {
		return nil, fmt.Errorf("the joint is %s; expected 0 or more", g.zone.Joint)
	}
	lay, err := pattern.build(tiles, g.zone.Joint, g.zone.Sideways, g.zone.Turn)
	if err != nil {
		return nil, err
	}
	if n := lay.estimate(g.cover); n > mostPieces {
		return nil, fmt.Errorf("about %.0f pieces of tile %s are more than %d; check the tile's size and the surface's", n, g.zone.Tile, mostPieces)
	}
	if err := g.dropThin(lay); err != nil {
		return nil, fmt.Errorf("places too thin to be tiled: %w", err)
	}
	z := &zoneLayer{in: in, key: zoneKey(in, s, g.zone), ground: g, view: v, tiles: tiles, lay: lay}
	z.setCover(g.cover)
	return z, nil
}

// mostPieces is how many pieces a zone may have: far more than any job, and far
// less than would fill a machine.
const mostPieces = 2_000_000

// estimate is how many tiles a cover takes, by its area.
func (l *lattice) estimate(cover []rooms.Polygon) float64 {
	area := 0.0
	for _, p := range cover {
		area += p.AreaMM2()
	}
	cell := max(l.det(), -l.det()) / (8000 * 8000)
	return area / cell * float64(len(l.tiles))
}

// setCover makes a cover the one to be filled.
func (z *zoneLayer) setCover(cover []rooms.Polygon) {
	z.ground.cover = cover
	z.fill = newFiller(z.lay, cover)
	z.made = z.made[:0]
	for _, e := range z.fill.edges {
		z.made = append(z.made, matchBorder(z.ground.lines, e[0], e[1]))
	}
}

// laidLattice is the zone's lattice turned as it lies.
func (z *zoneLayer) laidLattice() Lattice {
	l := z.lay
	out := Lattice{U: l.turn.apply(l.u), V: l.turn.apply(l.v)}
	for _, m := range l.tiles {
		out.Tiles = append(out.Tiles, LatticeTile{z.tiles[m.tile].Key, l.turn.ring(m.ring)})
	}
	return out
}

// spell fills the cover from the chosen origin and writes every piece out.
func (z *zoneLayer) spell(out *ZoneLayout) error {
	got, err := z.fillApart(out.Origin)
	if err != nil {
		return err
	}
	if !z.numbered() {
		if shift, ok := z.firstCell(got); ok {
			d := z.lay.turn.apply(shift)
			out.Origin = rooms.Point{X: out.Origin.X + d.X, Y: out.Origin.Y + d.Y}
			if got, err = z.fillApart(out.Origin); err != nil {
				return err
			}
		}
	}
	z.skipped = z.skips(got)
	out.Skipped = z.skipped
	z.fill.known = nil // nobody asks again
	out.Cover = z.ground.cover
	out.Pieces = make([]Piece, 0, got.full+len(got.cuts))
	for _, r := range got.runs {
		for i := r.first; i <= r.last; i++ {
			out.Pieces = append(out.Pieces, z.wholePiece(r.row, r.member, i))
		}
	}
	var grown []rooms.Polygon
	for _, c := range got.cuts {
		if tile := z.fill.tileAt(c.row, c.member, c.index); z.wholeWithin(tile, c.parts) {
			p := z.wholePiece(c.row, c.member, c.index)
			out.Pieces, grown = append(out.Pieces, p), append(grown, p.Polygon)
			continue
		}
		z.addParts(out, c)
	}
	if len(grown) > 0 {
		if out.Cover, err = rooms.Union(append(slices.Clone(out.Cover), grown...)...); err != nil {
			return err
		}
	}
	z.dropEmpty(out)
	z.mitres(out.Pieces)
	slices.SortFunc(out.Pieces, func(a, b Piece) int {
		return cmp.Or(cmp.Compare(a.Course, b.Course), cmp.Compare(a.Position, b.Position), cmp.Compare(a.ID, b.ID))
	})
	z.alikeCuts(out.Pieces)
	return nil
}

// addParts writes out what the border leaves of one tile; the parts of a tile
// cut in two get letters from left to right.
func (z *zoneLayer) addParts(out *ZoneLayout, c tileCut) {
	parts := slices.Clone(c.parts)
	slices.SortFunc(parts, func(a, b part) int {
		p, q := a.outer.plain().Box(), b.outer.plain().Box()
		return cmp.Or(cmp.Compare(p.Min.X, q.Min.X), cmp.Compare(p.Min.Y, q.Min.Y), cmp.Compare(p.Max.X, q.Max.X), cmp.Compare(p.Max.Y, q.Max.Y))
	})
	for k, q := range parts {
		p := z.piece(c.row, c.member, c.index)
		if len(parts) > 1 {
			letter := string(rune('a' + k%26))
			p.ID += letter
			p.Label += letter
		}
		p.Polygon = q.polygon()
		p.AreaMM2 = p.Polygon.AreaMM2()
		z.cutsOf(&p, q)
		out.Pieces = append(out.Pieces, p)
	}
}

// piece is a piece's numbers and its tile's place.
func (z *zoneLayer) piece(row, member, index int) Piece {
	m := &z.lay.tiles[member]
	by := turnBy(m.degrees).then(z.lay.turn)
	p := Piece{
		Course:   row*z.lay.courses + m.course - z.skipped.Courses,
		Position: index*z.lay.perCell + m.position - z.skipped.Positions,
		Tile:     z.tiles[m.tile].Key,
		Degrees:  float64(by.degrees),
		Turn:     (by.degrees + 45) / 90 % 4,
		Place:    z.fill.placeAt(row, member, index),
	}
	p.ID = fmt.Sprintf("%s/%d.%d", z.key, p.Course, p.Position)
	p.Label = fmt.Sprintf("%s%d.%02d", z.letter, p.Course, p.Position)
	return p
}

// wholePiece is a piece that is its whole tile.
func (z *zoneLayer) wholePiece(row, member, index int) Piece {
	p := z.piece(row, member, index)
	p.Full = true
	p.Polygon = rooms.Polygon{Outer: z.fill.tileAt(row, member, index)}
	p.AreaMM2 = z.lay.tiles[member].whole.MM2()
	return p
}

// firstCell is the shift, in the pattern's frame, by whole cells that makes the
// lowest course and the first position number 1 or as little more as a cell of
// several courses allows.
func (z *zoneLayer) firstCell(got laid) (rooms.Point, bool) {
	n, ok := z.numbers(got)
	if !ok {
		return rooms.Point{}, false
	}
	row, index := n.row, n.index
	if n.course-row*z.lay.courses < 1 {
		row--
	}
	if n.position-index*z.lay.perCell < 1 {
		index--
	}
	return z.lay.cell(index, row), row != 0 || index != 0
}

// skips is what the numbers of what is laid skip: as kept, of all planes of a zone, or
// up to its first course and position; nothing where a tile is given to count from.
func (z *zoneLayer) skips(got laid) Skipped {
	if lock, ok := z.in.Locks[z.key]; ok {
		return lock.Skipped
	}
	if z.common != nil {
		return z.common.skipped
	}
	n, ok := z.numbers(got)
	if !ok || z.numbered() {
		return Skipped{}
	}
	return Skipped{n.course - 1, n.position - 1}
}

// leastNumbers are the least row, index, course and position of what is laid.
type leastNumbers struct{ row, index, course, position int }

// numbers finds them; ok is false where nothing is laid.
func (z *zoneLayer) numbers(got laid) (n leastNumbers, ok bool) {
	n = leastNumbers{1 << 30, 1 << 30, 1 << 30, 1 << 30}
	note := func(r, member, i int) {
		m := z.lay.tiles[member]
		n.row, n.index = min(n.row, r), min(n.index, i)
		n.course = min(n.course, r*z.lay.courses+m.course)
		n.position = min(n.position, i*z.lay.perCell+m.position)
	}
	for _, r := range got.runs {
		note(r.row, r.member, r.first)
	}
	for _, c := range got.cuts {
		note(c.row, c.member, c.index)
	}
	return n, n.row < 1<<30
}
