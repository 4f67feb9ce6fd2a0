package takeoff

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"potlife/rooms"
)

// takenCheck gathers breaches; it shares no code with what it checks.
type takenCheck struct {
	in     TakeIn
	t      *Taken
	tiles  map[string]Tile
	pieces map[string]Piece
	zone   map[string]*ZoneLayout
	room   map[string]string
	faults []error
}

func (c *takenCheck) fault(format string, args ...any) {
	if len(c.faults) < 50 {
		c.faults = append(c.faults, fmt.Errorf(format, args...))
	}
}

// CheckTaken holds a takeoff to its input: every piece comes from one stock
// tile, lies inside it apart from the others and has the edges it needs; sizes
// are in their limits and at a setting; rows, lots and packages add up. It
// returns all breaches, 50 at most.
func CheckTaken(t *Taken, in TakeIn) error {
	c := &takenCheck{in: in, t: t, tiles: map[string]Tile{}, pieces: map[string]Piece{}, zone: map[string]*ZoneLayout{}, room: map[string]string{}}
	for _, tile := range in.Catalogue.Tiles {
		c.tiles[tile.Key] = tile
	}
	c.layouts()
	c.stops()
	c.stock()
	c.rows()
	c.lots()
	c.materials()
	return errors.Join(c.faults...)
}

// layouts holds the layouts to those given: the same but for sizes and for what
// is left to be measured.
func (c *takenCheck) layouts() {
	if len(c.t.Layouts) != len(c.in.Layouts) {
		c.fault("%d layouts, given %d", len(c.t.Layouts), len(c.in.Layouts))
		return
	}
	for i := range c.t.Layouts {
		for z := range c.t.Layouts[i].Zones {
			zone := &c.t.Layouts[i].Zones[z]
			for k, p := range zone.Pieces {
				given := c.in.Layouts[i].Zones[z].Pieces[k]
				if p.ID != given.ID || !slices.Equal(p.Polygon.Outer, given.Polygon.Outer) || given.OnSite && !p.OnSite || cutsBesideTrims(&p) != cutsBesideTrims(&given) {
					c.fault("piece %s is not the one given, %s", p.ID, given.ID)
				}
				c.pieces[p.ID], c.zone[p.ID] = p, zone
				c.room[p.ID] = joinKey(c.t.Layouts[i].Job, c.t.Layouts[i].Room)
				c.sizes(p)
			}
		}
	}
}

// cutsBesideTrims counts the cuts of a piece that do not depend on its place in the tile.
func cutsBesideTrims(p *Piece) (n int) {
	for _, c := range p.Cuts {
		n += btoi(!isTrim(p, c))
	}
	return n
}

// sizes holds printed sizes to their limits.
func (c *takenCheck) sizes(p Piece) {
	for _, cut := range p.Cuts {
		if cut.Sized && !p.OnSite && (cut.Size < cut.Least || cut.Size > cut.Most || cut.Size <= 0) {
			c.fault("piece %s: %s cut to %s, outside %s to %s", p.ID, cut.Side, cut.Size, cut.Least, cut.Most)
		}
	}
}

// settingKey is a cut for which a stop is set.
type settingKey struct {
	piece, tool string
	size        rooms.Length
}

// settingsDue counts the cuts that are made ahead to a size, of pieces and of stretches of
// bar; bars are the stretches' products.
func (c *takenCheck) settingsDue() (due map[settingKey]int, bars map[string]string) {
	due, bars = map[settingKey]int{}, map[string]string{}
	for _, p := range c.pieces {
		for _, cut := range p.Cuts {
			if cut.Sized && !p.OnSite {
				due[settingKey{p.ID, cut.Tool, cut.Size}]++
			}
		}
	}
	for _, n := range c.t.Needs {
		if n.Piece != "" {
			bars[n.Piece] = n.Product
		}
		if n.Cut > 0 && !n.Measure {
			due[settingKey{n.Piece, BarSaw, n.Cut}]++
		}
	}
	return due, bars
}

// stops holds every sized cut that is made ahead to one setting.
func (c *takenCheck) stops() {
	due, bars := c.settingsDue()
	for _, s := range c.t.Stops {
		if s.Size < s.Least || s.Size > s.Most {
			c.fault("stop %s of %s: outside the %s to %s its cuts have in common", s.Size, s.Tile, s.Least, s.Most)
		}
		for _, id := range s.Pieces {
			due[settingKey{id, s.Tool, s.Size}]--
			if bars[id] != s.Tile && c.pieces[id].Tile != s.Tile {
				c.fault("stop %s of %s serves %s of another tile", s.Size, s.Tile, id)
			}
		}
	}
	for k, n := range due {
		if n != 0 {
			c.fault("piece %s: cut at %s with %s has %d settings too few", k.piece, k.size, k.tool, n)
		}
	}
	said := 0
	for _, s := range c.t.Savings {
		said += s.Settings
	}
	if said != len(c.t.Stops) {
		c.fault("savings speak of %d settings, there are %d", said, len(c.t.Stops))
	}
}

// stock holds stock tiles to the pieces cut from them.
func (c *takenCheck) stock() {
	ids, on, used := map[string]bool{}, map[string]int{}, map[string]bool{}
	for _, s := range c.t.Stock {
		c.inHand(s, used)
		if s.ID == "" || ids[s.ID] {
			c.fault("stock tile %q has no name or stands twice", s.ID)
		}
		ids[s.ID] = true
		if s.Broken != (len(s.Pieces) == 0) {
			c.fault("stock tile %s: broken is %v with %d pieces", s.ID, s.Broken, len(s.Pieces))
		}
		for i, q := range s.Pieces {
			on[q.Piece]++
			p, ok := c.pieces[q.Piece]
			if !ok || p.Tile != s.Tile {
				c.fault("stock tile %s of %s: piece %s does not belong", s.ID, s.Tile, q.Piece)
				continue
			}
			c.onTile(s, p, q.Polygon)
			c.untrimmed(s, p, q)
			for _, other := range s.Pieces[:i] {
				c.apart(s, p, q, other)
			}
		}
	}
	for id := range c.pieces {
		if on[id] != 1 {
			c.fault("piece %s stands on %d stock tiles", id, on[id])
		}
	}
}

// onTile holds one piece to its tile: inside it, of the right size, and with
// enough of the tile's own edge.
func (c *takenCheck) onTile(s StockTile, p Piece, at rooms.Polygon) {
	tile := c.tiles[s.Tile].Shape
	if out, err := rooms.Subtract([]rooms.Polygon{at}, []rooms.Polygon{{Outer: tile}}); err != nil || areaOf(out) > 0.5 {
		c.fault("piece %s leaves its tile %s by %.2f mm² (%v)", p.ID, s.ID, areaOf(out), err)
	}
	shift := 0.0
	for _, cut := range p.Cuts {
		if cut.Sized {
			shift += math.Abs((cut.Size - cut.Drawn).Millimetres())
		}
	}
	rim := ringLength(p.Polygon.Outer)
	if d := math.Abs(at.AreaMM2() - p.Polygon.AreaMM2()); d > shift*rim+1 {
		c.fault("piece %s: %.1f mm² on its tile, %.1f drawn", p.ID, at.AreaMM2(), p.Polygon.AreaMM2())
	}
	if p.Full {
		if math.Abs(at.AreaMM2()-tile.AreaMM2()) > 1 || len(s.Pieces) > 1 {
			c.fault("piece %s is whole, yet not its whole tile %s", p.ID, s.ID)
		}
		return
	}
	need := 0.0
	for _, e := range ringEdges(p.Polygon) {
		if !onAny(e, c.zone[p.ID].Cover) {
			need += e.length()
		}
	}
	have := 0.0
	for _, e := range ringEdges(at) {
		if onAny(e, []rooms.Polygon{{Outer: tile}}) {
			have += e.length()
		}
	}
	if have < need-4*shift-1 {
		c.fault("piece %s needs %.0f mm of the tile's own edge, has %.0f on %s", p.ID, need, have, s.ID)
	}
	if len(at.Outer) == 4 && isBox(at) {
		b := at.Outer.Box()
		for _, cut := range p.Cuts {
			if cut.Sized && min(absLength(cut.Size-b.Width()), absLength(cut.Size-b.Height())) > 100*rooms.Micrometre {
				c.fault("piece %s: printed %s, cut as %s × %s", p.ID, cut.Size, b.Width(), b.Height())
			}
		}
	}
}

// untrimmed holds a piece that is cut on both of two sides, and of which the first
// trim is left out, to an edge of the tile or of a neighbour that serves instead.
func (c *takenCheck) untrimmed(s StockTile, p Piece, q StockPiece) {
	for _, cut := range p.Cuts {
		if cut.Trim.Shape == "" || slices.ContainsFunc(p.Cuts, func(o Cut) bool { return o.Shape == cut.Trim.Shape }) {
			continue
		}
		reach := cmp.Or(c.in.Kerf, DefaultKerf) + 10*rooms.Micrometre
		at, tile := q.Polygon.Outer.Box(), c.tiles[s.Tile].Shape.Box()
		made := min(at.Min.X-tile.Min.X, at.Min.Y-tile.Min.Y, tile.Max.X-at.Max.X, tile.Max.Y-at.Max.Y) <= 10*rooms.Micrometre
		for _, other := range s.Pieces {
			o := other.Polygon.Outer.Box()
			beside := min(at.Max.Y, o.Max.Y) > max(at.Min.Y, o.Min.Y) && max(o.Min.X-at.Max.X, at.Min.X-o.Max.X) <= reach
			above := min(at.Max.X, o.Max.X) > max(at.Min.X, o.Min.X) && max(o.Min.Y-at.Max.Y, at.Min.Y-o.Max.Y) <= reach
			made = made || other.Piece != p.ID && (beside || above)
		}
		if !made {
			c.fault("piece %s is not trimmed and no edge of its tile %s or of a neighbour serves", p.ID, s.ID)
		}
	}
}

// apart holds two pieces of a tile apart, by the kerf where a saw parts them.
func (c *takenCheck) apart(s StockTile, p Piece, q, other StockPiece) {
	kerf := rooms.Length(0)
	for _, piece := range []Piece{p, c.pieces[other.Piece]} {
		for _, cut := range piece.Cuts {
			if cut.Tool != Snap {
				kerf = DefaultKerf
				if c.in.Kerf != 0 {
					kerf = c.in.Kerf
				}
			}
		}
	}
	a, b := q.Polygon.Outer.Box(), other.Polygon.Outer.Box()
	if gap := max(b.Min.X-a.Max.X, a.Min.X-b.Max.X, b.Min.Y-a.Max.Y, a.Min.Y-b.Max.Y); gap >= kerf {
		return
	}
	both, err := rooms.Intersect([]rooms.Polygon{q.Polygon}, []rooms.Polygon{other.Polygon})
	switch {
	case err != nil || areaOf(both) > 0.5:
		c.fault("pieces %s and %s overlap on %s by %.2f mm² (%v)", p.ID, other.Piece, s.ID, areaOf(both), err)
	case kerf > 0 && distanceApart(q.Polygon, other.Polygon) < kerf.Millimetres()-0.01:
		c.fault("pieces %s and %s lie closer than the kerf on %s", p.ID, other.Piece, s.ID)
	}
}

// distanceApart is the distance of two polygons that do not overlap, in mm: from
// a corner of one to an edge of the other.
func distanceApart(p, q rooms.Polygon) float64 {
	least := math.Inf(1)
	for _, pair := range [2][2]rooms.Polygon{{p, q}, {q, p}} {
		for _, e := range ringEdges(pair[0]) {
			for _, f := range ringEdges(pair[1]) {
				least = min(least, distanceTo(e.a, f))
			}
		}
	}
	return least
}

func areaOf(list []rooms.Polygon) float64 {
	a := 0.0
	for _, p := range list {
		a += p.AreaMM2()
	}
	return a
}

// ringEdge is one side of a ring.
type ringEdge struct{ a, b rooms.Point }

func (e ringEdge) length() float64 {
	return math.Hypot((e.b.X - e.a.X).Millimetres(), (e.b.Y - e.a.Y).Millimetres())
}

func ringEdges(p rooms.Polygon) (list []ringEdge) {
	for _, r := range p.Rings() {
		for i := range r {
			list = append(list, ringEdge{r[i], r[(i+1)%len(r)]})
		}
	}
	return list
}

func ringLength(r rooms.Ring) float64 {
	l := 0.0
	for _, e := range ringEdges(rooms.Polygon{Outer: r}) {
		l += e.length()
	}
	return l
}

// onAny reports whether an edge lies along the border of any of the polygons:
// its ends and its middle do, within 0.02 mm.
func onAny(e ringEdge, list []rooms.Polygon) bool {
	mid := rooms.Point{X: (e.a.X + e.b.X) / 2, Y: (e.a.Y + e.b.Y) / 2}
	for _, q := range []rooms.Point{e.a, mid, e.b} {
		on := false
		for _, p := range list {
			for _, f := range ringEdges(p) {
				on = on || distanceTo(q, f) <= 0.02
			}
		}
		if !on {
			return false
		}
	}
	return true
}

// distanceTo is the distance of a point from an edge in mm.
func distanceTo(q rooms.Point, e ringEdge) float64 {
	dx, dy := (e.b.X - e.a.X).Millimetres(), (e.b.Y - e.a.Y).Millimetres()
	px, py := (q.X - e.a.X).Millimetres(), (q.Y - e.a.Y).Millimetres()
	at := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		at = min(1, max(0, (px*dx+py*dy)/l))
	}
	return math.Hypot(px-at*dx, py-at*dy)
}
