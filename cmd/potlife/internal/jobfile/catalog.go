package jobfile

import (
	"fmt"
	"slices"

	"potlife/scheduler"
	"potlife/takeoff"

	"potlife/rooms"
)

// catalog is all that was read, for checks that need the whole.
type catalog struct {
	firm  *scheduler.Firm
	jobs  []rooms.Job
	tiles map[string]*takeoff.Tile
	goods map[string]*takeoff.Product
	// patterns are the firm's own.
	patterns map[string]takeoff.Pattern
}

func newCatalog(f *scheduler.Firm, jobs []rooms.Job) *catalog {
	c := &catalog{firm: f, jobs: jobs, tiles: map[string]*takeoff.Tile{}, goods: map[string]*takeoff.Product{}}
	if f != nil {
		c.patterns = f.OwnPatterns()
		for i := range f.Catalogue.Tiles {
			c.tiles[f.Catalogue.Tiles[i].Key] = &f.Catalogue.Tiles[i]
		}
		for i := range f.Catalogue.Products {
			c.goods[f.Catalogue.Products[i].Key] = &f.Catalogue.Products[i]
		}
	}
	return c
}

func (c *catalog) imperial() bool { return c.firm != nil && c.firm.Units == "imperial" }

// unknown reports a name that nothing has.
func (r *reader) unknown(at place, what, name string, known []string) {
	expected := "the key of a " + what + " of the firm"
	switch near := nearest(name, known); {
	case near != "":
		expected = fmt.Sprintf("%q, or another %s of the firm", near, what)
	case len(known) > 0:
		expected = "one of " + list(known)
	}
	r.failf(at, expected, "there is no %s %q", what, name)
}

// tile checks, when the firm is known, that it has the tile, and runs then on
// it.
func (r *reader) tile(v *value, name string, then func(*takeoff.Tile)) {
	if v == nil || name == "" {
		return
	}
	r.later = append(r.later, func(c *catalog) {
		t, ok := c.tiles[name]
		switch {
		case c.firm == nil:
		case !ok:
			r.unknown(v.place, "tile", name, sortedKeys(c.tiles))
		case then != nil:
			then(t)
		}
	})
}

// product checks that the firm has the product, tile or not.
func (r *reader) product(v *value, name string) {
	if v == nil || name == "" {
		return
	}
	r.later = append(r.later, func(c *catalog) {
		if c.firm != nil && c.goods[name] == nil && c.tiles[name] == nil {
			r.unknown(v.place, "product", name, sortedKeys(c.goods))
		}
	})
}

// productOf checks that the firm has the product and that it is of the kind.
func (r *reader) productOf(v *value, name, kind string) {
	if name == "" {
		return
	}
	r.later = append(r.later, func(c *catalog) {
		p := c.goods[name]
		switch {
		case c.firm == nil:
		case p == nil:
			var known []string
			for _, key := range sortedKeys(c.goods) {
				if c.goods[key].Kind == kind {
					known = append(known, key)
				}
			}
			r.unknown(v.place, kind, name, known)
		case p.Kind != kind:
			r.failf(v.place, "a product of the kind "+kind, "%q is a %s", name, p.Kind)
		}
	})
}

func (r *reader) supplier(v *value, name string) {
	if v == nil || name == "" {
		return
	}
	r.later = append(r.later, func(c *catalog) {
		if c.firm == nil {
			return
		}
		var known []string
		for _, s := range c.firm.Catalogue.Suppliers {
			known = append(known, s.Key)
		}
		if !slices.Contains(known, name) {
			r.unknown(v.place, "supplier", name, known)
		}
	})
}

func (r *reader) crew(v *value, name string) {
	if v == nil || name == "" {
		return
	}
	r.later = append(r.later, func(c *catalog) {
		if c.firm == nil {
			return
		}
		var known []string
		for _, w := range c.firm.Crews {
			known = append(known, w.Key)
		}
		if !slices.Contains(known, name) {
			r.unknown(v.place, "crew", name, known)
		}
	})
}

// site checks a job/site where the job is among those read; other jobs may
// be in the database.
func (c *catalog) site(r *reader, at place, path string) {
	for _, j := range c.jobs {
		var known []string
		for _, s := range j.Sites {
			known = append(known, j.Key+"/"+s.Key)
		}
		if len(path) > len(j.Key) && path[:len(j.Key)+1] == j.Key+"/" && !slices.Contains(known, path) {
			r.unknown(at, "site", path, known)
		}
	}
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
