package takeoff

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"potlife/rooms"
)

// flatShares are the flat percentages of the trade by the pattern's first word
// (rule of thumb, common practice); they are shown for comparison only.
var flatShares = map[string]float64{"straight": 0.10, "offset": 0.10, "diagonal": 0.15, "herringbone": 0.15}

const flatOther = 0.15

// flatShare is the flat percentage for a pattern, the firm's own first.
func flatShare(c Catalogue, pattern string) float64 {
	if s, ok := c.FlatShare[pattern]; ok {
		return s
	}
	family, _, _ := strings.Cut(pattern, " ")
	if s, ok := c.FlatShare[family]; ok {
		return s
	}
	if s, ok := flatShares[family]; ok {
		return s
	}
	return flatOther
}

// tileShare is how many of a tile a zone takes.
type tileShare struct {
	tile  string
	tiles float64
}

// flatTiles are the flat rule's tiles of one zone: its cover by the area of a tile and
// the percentage, shared among its tiles by their laid area.
func (t *taker) flatTiles(z *ZoneLayout) (list []tileShare) {
	cover := 0.0
	for _, c := range z.Cover {
		cover += c.AreaMM2()
	}
	laid := map[string]float64{}
	total := 0.0
	var tiles []string
	for i := range z.Pieces {
		p := &z.Pieces[i]
		a := pieceMM2(p)
		if laid[p.Tile] == 0 {
			tiles = append(tiles, p.Tile)
		}
		laid[p.Tile] += a
		total += a
	}
	slices.Sort(tiles)
	share := 1 + flatShare(t.in.Catalogue, z.Zone.Pattern)
	for _, k := range slices.Compact(tiles) {
		m2 := cover * (laid[k] / total)
		list = append(list, tileShare{k, float64(m2*share) / t.tiles[k].Shape.AreaMM2()})
	}
	return list
}

// pieceMM2 is a piece's area in mm².
func pieceMM2(p *Piece) float64 {
	if p.AreaMM2 > 0 {
		return p.AreaMM2
	}
	return p.Polygon.AreaMM2()
}

// countRow is the chain from pieces to tiles; lots and boxes follow.
func (t *taker) countRow(k rowKey, pieces []*takenPiece, s *stockRow) Row {
	tile := t.tiles[k.tile]
	level := t.in.Catalogue.ServiceLevel
	if level == 0 {
		level = serviceLevel
	}
	classes := breakClasses(tile, slices.Concat(s.open, s.settled), s.openFull)
	chances := losses(classes)
	s.loss = loss{s.broken, chances}
	r := Row{
		Tile: k.tile, Group: k.group,
		Pieces: len(pieces), Full: s.full, Cut: s.cuts,
		Stock: s.laid, StockBound: s.bound, InHand: s.inHand,
		Spares: s.broken + quantile(chances, level),
		Attic:  ceilCount(float64(s.laid) * tile.Attic),
	}
	rooms := map[string]bool{}
	for _, p := range pieces {
		if !rooms[p.room] {
			rooms[p.room] = true
			r.Rooms = append(r.Rooms, p.room)
		}
	}
	slices.Sort(r.Rooms)
	r.Quantity = r.Stock + r.Spares + r.Attic
	r.FlatQuantity = ceilCount(t.flat[k])
	r.Boxes = (r.Quantity + tile.PerBox - 1) / tile.PerBox
	r.How = rowHow(&r, tile, s, classes, level)
	return r
}

// ceilCount rounds up to whole tiles, a millionth apart from rounding.
func ceilCount(x float64) int { return int(math.Ceil(x - 1e-6)) }

// rowHow spells the chain out.
func rowHow(r *Row, tile *Tile, s *stockRow, classes []breakClass, level float64) string {
	var b strings.Builder
	b.WriteString(count(r.Stock, "tile"))
	if r.InHand > 0 {
		fmt.Fprintf(&b, " and %s in hand", count(r.InHand, "offcut"))
	}
	fmt.Fprintf(&b, " for %s", count(r.Full, "whole piece"))
	if r.Cut > 0 {
		fmt.Fprintf(&b, " and %s", count(r.Cut, "cut one"))
	}
	fmt.Fprintf(&b, " (no plan needs fewer than %d", r.StockBound)
	if s.caveat != "" && r.StockBound < r.Stock {
		fmt.Fprintf(&b, ", %s", s.caveat)
	}
	if s.settledTiles > 0 && r.StockBound < r.Stock {
		fmt.Fprintf(&b, ", were none of it cut; %s settled", isCount(s.settledTiles))
	}
	b.WriteString(")")
	fmt.Fprintf(&b, " + %s", count(r.Spares, "spare"))
	var parts []string
	if s.broken > 0 {
		parts = append(parts, fmt.Sprintf("%d broken so far", s.broken))
	}
	for _, c := range classes {
		if c.n > 0 {
			parts = append(parts, c.describe())
		}
	}
	if len(parts) > 0 {
		fmt.Fprintf(&b, " (%s; enough in %s of cases)", strings.Join(parts, ", "), percent(level))
	}
	fmt.Fprintf(&b, " + %d kept for repairs", r.Attic)
	if tile.Attic > 0 {
		fmt.Fprintf(&b, " (%s of those laid)", percent(tile.Attic))
	}
	fmt.Fprintf(&b, " = %s = %s of %d", count(r.Quantity, "tile"), boxes(r.Boxes), tile.PerBox)
	fmt.Fprintf(&b, "; by the flat percentage of the trade %d", r.FlatQuantity)
	return b.String()
}

func isCount(n int) string {
	if n == 1 {
		return "1 is"
	}
	return strconv.Itoa(n) + " are"
}

func boxes(n int) string {
	return count(n, "box")
}

// amount is a quantity with its unit, to the hundredth: "1 555 pieces", "3 boxes".
func amount(x float64, unit string) string {
	return rooms.Grouped(trimmed(x, 2)) + " " + rooms.Plural(unit, x)
}

// trimmed prints x to at most places decimals.
func trimmed(x float64, places int) string {
	s := strconv.FormatFloat(x, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}
