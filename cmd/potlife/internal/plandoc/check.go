package plandoc

import (
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"
)

// Breach is one rule that a document does not keep.
type Breach struct {
	Group string // "1 reference" … "10 finish"
	Text  string
}

func (b Breach) String() string { return b.Group + ": " + b.Text }

// Check recomputes a plan from its document alone and returns every rule it
// breaks, in the order of the groups; none means that the plan holds. It
// shares no code with the engines that made the plan, and it is run before a
// plan is saved. Dangling references end it early, since nothing else can be
// trusted then.
func Check(d *Document) []Breach { return CheckAfter(d, nil) }

// CheckAfter is Check for a document that follows one in which nothing was found:
// what is drawn the same in both, and cut the same out of the same stock tile, is not
// measured again. Who, when, in which order and how much is checked afresh. before
// may be nil.
func CheckAfter(d, before *Document) []Breach {
	c := &checker{doc: d}
	if d.Format != Format {
		c.breach("1 reference", "format is %q, expected %q", d.Format, Format)
		return c.found
	}
	c.index()
	if len(c.found) > 0 {
		return c.found
	}
	c.before = compare(d, before)
	c.together([]func(*checker){(*checker).checkStock, (*checker).checkGeometry, (*checker).checkOrder, (*checker).checkAreas,
		(*checker).checkTime, (*checker).checkPeople, (*checker).checkSequence, (*checker).checkSheets,
		(*checker).checkTakeoff, (*checker).checkOrders, (*checker).checkDeliveries})
	return c.found
}

// together runs checks that do not depend on each other on all processors. What
// they find stands in their order, whichever ends first.
func (c *checker) together(checks []func(*checker)) {
	found := make([][]Breach, len(checks))
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(checks)) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(checks); i = int(next.Add(1)) - 1 {
				own := *c // the lists are shared and only read
				own.found = nil
				checks[i](&own)
				found[i] = own.found
			}
		})
	}
	wg.Wait()
	c.found = append(c.found, slices.Concat(found...)...)
}

// placedPiece is a piece with where it belongs.
type placedPiece struct {
	*Piece
	surface *Surface
	zone    *Zone
	area    float64 // mm²
	lo, hi  xy      // its box
}

// shape is where the piece lies.
func (p *placedPiece) shape() region { return regionOf(p.Polygon) }

// checker is the document with its lists indexed.
type checker struct {
	doc        *Document
	zone       *time.Location
	found      []Breach
	jobs       map[string]bool
	sites      map[string]*Site
	rooms      map[string]*Room
	tiles      map[string]*Tile
	surfaces   map[string]*Surface
	crews      map[string]*Crew
	crewHours  map[string][]span
	hours      []span
	activities map[string]*Activity
	areas      map[string]*Area
	stock      map[string]*Stock
	pieces     map[string]*placedPiece
	order      []*placedPiece // in the document's order
	before     earlier
}

func (c *checker) breach(group, format string, args ...any) {
	c.found = append(c.found, Breach{group, fmt.Sprintf(format, args...)})
}

// span is an interval of instants.
type span struct{ from, to time.Time }

func (c *checker) instant(s string) time.Time {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		c.breach("1 reference", "%q is no instant", s)
	}
	return t
}

func (c *checker) spansOf(in []Span) []span {
	out := make([]span, len(in))
	for i, s := range in {
		out[i] = span{c.instant(s[0]), c.instant(s[1])}
	}
	return out
}

// day is the civil day of an instant in the document's zone.
func (c *checker) day(s string) string { return c.instant(s).In(c.zone).Format(time.DateOnly) }

func minutesBetween(a, b time.Time) float64 { return b.Sub(a).Minutes() }

// indexBy indexes rows by key and reports doubles.
func indexBy[T any](c *checker, rows []T, what string, key func(*T) string) map[string]*T {
	out := make(map[string]*T, len(rows))
	for i := range rows {
		k := key(&rows[i])
		if _, ok := out[k]; ok {
			c.breach("1 reference", "%s %s stands twice", what, k)
		}
		out[k] = &rows[i]
	}
	return out
}

func (c *checker) index() {
	d := c.doc
	zone, err := time.LoadLocation(d.Zone)
	if err != nil {
		c.breach("1 reference", "zone %q is unknown", d.Zone)
		return
	}
	c.zone = zone
	c.jobs = map[string]bool{}
	for _, j := range d.Jobs {
		c.jobs[j.Key] = true
	}
	c.sites = indexBy(c, d.Sites, "site", func(s *Site) string { return s.Key })
	c.rooms = indexBy(c, d.Rooms, "room", func(r *Room) string { return r.Key })
	c.tiles = indexBy(c, d.Tiles, "tile", func(t *Tile) string { return t.Key })
	c.surfaces = indexBy(c, d.Surfaces, "surface", func(s *Surface) string { return s.Key })
	c.crews = indexBy(c, d.Crews, "crew", func(r *Crew) string { return r.Key })
	c.activities = indexBy(c, d.Activities, "activity", func(a *Activity) string { return a.ID })
	c.areas = indexBy(c, d.Areas, "area", func(a *Area) string { return a.ID })
	c.stock = indexBy(c, d.Stock, "stock tile", func(s *Stock) string { return s.ID })
	c.hours = c.spansOf(d.Hours)
	c.crewHours = map[string][]span{}
	for k, r := range c.crews {
		c.crewHours[k] = c.spansOf(r.Hours)
	}
	c.indexPieces()
	c.references()
}

func (c *checker) indexPieces() {
	n := 0
	for i := range c.doc.Surfaces {
		for j := range c.doc.Surfaces[i].Zones {
			n += len(c.doc.Surfaces[i].Zones[j].Pieces)
		}
	}
	list := make([]placedPiece, 0, n)
	c.pieces, c.order = make(map[string]*placedPiece, n), make([]*placedPiece, 0, n)
	var scratch measuring
	for i := range c.doc.Surfaces {
		s := &c.doc.Surfaces[i]
		for j := range s.Zones {
			z := &s.Zones[j]
			for k := range z.Pieces {
				list = append(list, placedPiece{Piece: &z.Pieces[k], surface: s, zone: z})
				p := &list[len(list)-1]
				shape := scratch.region(p.Polygon)
				p.area = shape.area()
				p.lo, p.hi = shape.box()
				if c.pieces[p.ID] != nil {
					c.breach("1 reference", "piece %s stands twice", p.ID)
				}
				c.pieces[p.ID] = p
				c.order = append(c.order, p)
			}
		}
	}
}

// want reports a key that a table lacks.
func want[T any](c *checker, table map[string]T, key, format string, args ...any) {
	if _, ok := table[key]; !ok {
		c.breach("1 reference", "%s names %q, which does not exist", fmt.Sprintf(format, args...), key)
	}
}

func (c *checker) references() {
	d := c.doc
	for _, s := range d.Sites {
		want(c, c.jobs, s.Job, "site %s", s.Key)
	}
	for _, r := range d.Rooms {
		want(c, c.jobs, r.Job, "room %s", r.Key)
		want(c, c.sites, r.Site, "room %s", r.Key)
	}
	for _, s := range d.Surfaces {
		want(c, c.rooms, s.Room, "surface %s", s.Key)
	}
	for _, p := range c.order {
		want(c, c.tiles, p.Tile, "piece %s", p.ID)
		want(c, c.stock, p.Stock, "piece %s", p.ID)
		want(c, c.areas, p.Area, "piece %s", p.ID)
	}
	for _, t := range d.Stock {
		want(c, c.tiles, t.Tile, "stock tile %s", t.ID)
		for _, q := range t.Pieces {
			want(c, c.pieces, q.Piece, "stock tile %s", t.ID)
		}
	}
	c.workReferences()
}

func (c *checker) workReferences() {
	d := c.doc
	for _, a := range d.Activities {
		want(c, c.rooms, a.Room, "activity %s", a.ID)
		if a.Crew != nil {
			want(c, c.crews, *a.Crew, "activity %s", a.ID)
		}
		for _, k := range a.Surfaces {
			want(c, c.surfaces, k, "activity %s", a.ID)
		}
		for _, b := range a.After {
			want(c, c.activities, b.Activity, "activity %s", a.ID)
		}
	}
	for _, a := range d.Areas {
		want(c, c.activities, a.Activity, "area %s", a.ID)
		want(c, c.crews, a.Crew, "area %s", a.ID)
		for _, p := range a.Pieces {
			want(c, c.pieces, p, "area %s", a.ID)
		}
	}
	for _, m := range d.Mixes {
		want(c, c.crews, m.Crew, "mix %s", m.ID)
		want(c, c.activities, m.Activity, "mix %s", m.ID)
		for _, w := range m.Also {
			want(c, c.activities, w.Activity, "mix %s", m.ID)
		}
		for _, q := range m.Patches {
			a := c.areas[q.Area]
			if a == nil || q.Index < 0 || q.Index >= len(a.Patches) {
				c.breach("1 reference", "mix %s: patch %d of %q does not exist", m.ID, q.Index, q.Area)
			}
		}
	}
	for _, s := range d.Sheets {
		want(c, c.crews, s.Crew, "sheet %s", s.Date)
		for _, k := range s.Areas {
			want(c, c.areas, k, "sheet %s %s", s.Date, s.Crew)
		}
		for _, k := range s.Activities {
			want(c, c.activities, k, "sheet %s %s", s.Date, s.Crew)
		}
	}
	for _, r := range d.Takeoff {
		want(c, c.tiles, r.Tile, "takeoff of %s", r.Group)
		for _, k := range r.Rooms {
			want(c, c.rooms, k, "takeoff of %s", r.Group)
		}
	}
}
