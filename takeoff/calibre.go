package takeoff

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// JointForModule is the joint that holds a module with tile of a work size:
// nominal size = work size + joint.
func JointForModule(module, work rooms.Length) rooms.Length { return module - work }

// AsMeasured is the tile at the mean size measured of a lot, so that a room can
// be laid out again before its cuts are issued; the tile itself where the lot is
// not measured. Other shapes than rectangles are stretched along both sides.
func AsMeasured(t Tile, l Lot) Tile {
	b := t.Shape.Box()
	if l.Tile != t.Key || l.Width <= 0 || l.Height <= 0 || b.Width() <= 0 || b.Height() <= 0 {
		return t
	}
	shape := make(rooms.Ring, len(t.Shape))
	for i, p := range t.Shape {
		shape[i] = rooms.Point{X: stretch(p.X, l.Width, b.Width()), Y: stretch(p.Y, l.Height, b.Height())}
	}
	t.Shape = shape
	return t
}

// MeasuredTile is the tile of a lot at its measured mean size, as a tile of its own
// that a plan lays out rooms with; it is bought, stored and carried as the tile it
// is. Its key is the tile's and the lot's around a "@", which no key of the
// catalogue holds.
func MeasuredTile(t Tile, l Lot) Tile {
	m := AsMeasured(t, l)
	b := m.Shape.Box()
	m.Key, m.Of, m.OfLot = t.Key+"@"+l.Lot, t.Key, l.Lot
	m.Name = fmt.Sprintf("%s, lot %s as measured, %s × %s mm", cmp.Or(t.Name, t.Key), l.Lot, words(b.Width()), words(b.Height()))
	return m
}

// GoodsKey is the tile of the catalogue that a tile of a plan is bought as: itself,
// or what it is of where it is a lot as measured.
func GoodsKey(tile string) string {
	goods, _, _ := strings.Cut(tile, "@")
	return goods
}

// stretch is x·to/from to the nearest unit; sides of tiles are short enough for
// the product.
func stretch(x, to, from rooms.Length) rooms.Length { return (x*to + from/2) / from }

// calibreSource says why a lot's size matters.
const calibreSource = "nominal = work size + joint; 1 mm in the assumed size over 20 tiles is 20 mm (a maker's box print, a setting-out guide)"

// calibreFrom is the drift along the longest course from which it is worth a
// word: half a millimetre is taken up by the joints.
const calibreFrom = 500 * rooms.Micrometre

// warnCalibres compares the measured size of the lots that rows take with the
// size their layouts were drawn for.
func (t *taker) warnCalibres() {
	var longest map[rowKey]run // once a lot is known by its size
	for i := range t.out.Rows {
		r := &t.out.Rows[i]
		l := t.lotOf(r.Tile, r.Lot)
		if l == nil || l.Width == 0 || l.Height == 0 {
			continue
		}
		if longest == nil {
			longest = t.longestRuns()
		}
		b := t.tiles[r.Tile].Shape.Box()
		run := longest[rowKey{r.Tile, r.Group}]
		d := l.Width - b.Width()
		if absLength(l.Height-b.Height()) > absLength(d) {
			d = l.Height - b.Height()
		}
		drift := d * rooms.Length(run.tiles)
		if absLength(drift) < calibreFrom {
			continue
		}
		t.find(Finding{
			Rule: "calibre", Severity: Warn, Where: r.Group, Value: drift.Millimetres(), Limit: calibreFrom.Millimetres(),
			Message: fmt.Sprintf("lot %s of %s measures %s × %s mm, the layout is drawn for %s × %s: %s mm over the %d tiles of the longest course; a joint of %s mm instead of %s holds the module, or lay it out again",
				l.Lot, t.in.Catalogue.called(r.Tile), words(l.Width), words(l.Height), words(b.Width()), words(b.Height()), words(drift), run.tiles,
				words(JointForModule(run.side+run.joint, run.side+d)), words(run.joint)),
			Source: calibreSource,
		})
	}
}

// words prints a length in mm to a tenth.
func words(l rooms.Length) string { return trimmed(l.Millimetres(), 1) }

// warnMixedCalibres speaks of rows whose boxes come from lots of different
// calibres.
func (t *taker) warnMixedCalibres(r *Row, lots []string) {
	var seen []string
	var sizes []rooms.Length
	for _, k := range lots {
		l := t.lotOf(r.Tile, k)
		if l == nil {
			continue
		}
		if l.Calibre != "" && !slices.Contains(seen, l.Calibre) {
			seen = append(seen, l.Calibre)
		}
		if l.Width > 0 {
			sizes = append(sizes, l.Width)
		}
	}
	if len(seen) < 2 {
		return
	}
	message := fmt.Sprintf("%s in %s mixes calibres %s and %s: the joint or the module changes where they meet", t.in.Catalogue.called(r.Tile), t.out.roomsCalled(r.Rooms), seen[0], seen[1])
	value := 0.0
	if len(sizes) > 1 {
		d := slices.Max(sizes) - slices.Min(sizes)
		value = d.Millimetres()
		message += fmt.Sprintf(", by %s mm a tile", words(d))
	}
	t.find(Finding{Rule: "calibre", Severity: Warn, Where: r.Group, Message: message, Value: value, Source: calibreSource})
}

// run is the longest course of a row.
type run struct {
	tiles       int
	joint, side rooms.Length
}

// longestRuns counts the pieces of the longest course of every row.
func (t *taker) longestRuns() map[rowKey]run {
	out := map[rowKey]run{}
	for i := range t.out.Layouts {
		l := &t.out.Layouts[i]
		g := t.surfaces[i].group
		for z := range l.Zones {
			zone := &l.Zones[z]
			type course struct {
				tile string
				n    int
			}
			n := map[course]int{}
			for k := range zone.Pieces {
				p := &zone.Pieces[k]
				c := course{p.Tile, p.Course}
				n[c]++
				key := rowKey{p.Tile, g}
				if n[c] > out[key].tiles {
					out[key] = run{n[c], zone.Zone.Joint, t.tiles[p.Tile].Shape.Box().Width()}
				}
			}
		}
	}
	return out
}

// lotOf finds a lot of a tile by name.
func (t *taker) lotOf(tile, lot string) *Lot {
	for i := range t.in.Catalogue.Lots {
		if l := &t.in.Catalogue.Lots[i]; l.Tile == GoodsKey(tile) && l.Lot == lot && (l.Width > 0 || l.Calibre != "") {
			return l
		}
	}
	for i := range t.in.Measured {
		if l := &t.in.Measured[i]; l.Tile == GoodsKey(tile) && l.Lot == lot {
			return l
		}
	}
	return nil
}
