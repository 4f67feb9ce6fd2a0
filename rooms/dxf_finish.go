package rooms

import (
	"errors"
	"fmt"
	"slices"
)

// finish joins loose lines, sorts outlines into surfaces and openings, and
// counts each surface from its own corner.
func (d *dxfReader) finish() (DXF, error) {
	if d.at == 0 {
		return DXF{}, errors.New("the file is empty; expected a drawing saved as ASCII DXF")
	}
	if d.unit == 0 {
		return DXF{}, errNoUnit
	}
	for _, layer := range d.layers {
		for _, r := range d.join(layer) {
			d.closed = append(d.closed, dxfLoop{layer, r})
		}
	}
	for _, l := range d.closed {
		if of := layerOf(l.layer); of.what == dxfSurface {
			d.surface(of.key, l.drawn)
		}
	}
	if len(d.out.Surfaces) == 0 {
		return DXF{}, errors.New("the drawing has no closed outline on a layer whose name begins with SURFACE")
	}
	for _, l := range d.closed {
		if of := layerOf(l.layer); of.what == dxfOpening {
			d.opening(of, l.drawn)
		}
	}
	for i := range d.out.Surfaces {
		d.out.Surfaces[i].fromCorner()
	}
	return d.out, nil
}

// join makes closed outlines of a layer's loose lines, by their ends.
func (d *dxfReader) join(layer string) []Drawn {
	lines := slices.Clone(d.loose[layer])
	var out []Drawn
	for len(lines) > 0 {
		path := slices.Clone(lines[0])
		lines = lines[1:]
		for {
			if closes(path) {
				out = append(out, closedLine(path, d.tolerance))
				break
			}
			end := path[len(path)-1].To
			k := slices.IndexFunc(lines, func(l []Corner) bool {
				return Distance(l[0].To, end) <= dxfJoin || Distance(l[len(l)-1].To, end) <= dxfJoin
			})
			if k < 0 {
				d.ignore("a line on layer %q that closes no outline, from (%s, %s)", layer, path[0].To.X, path[0].To.Y)
				break
			}
			next := lines[k]
			if Distance(next[0].To, end) > dxfJoin {
				next = reversedLine(next)
			}
			path = append(path, next[1:]...)
			lines = slices.Delete(lines, k, k+1)
		}
	}
	return out
}

// closes reports whether a line ends where it begins, round some ground.
func closes(path []Corner) bool {
	n := len(path) - 1
	arcs := slices.ContainsFunc(path[1:], func(c Corner) bool { return c.Rise != 0 })
	return Distance(path[0].To, path[n].To) <= dxfJoin && (n > 2 || n == 2 && arcs)
}

// surface adds a surface if its outline is simple.
func (d *dxfReader) surface(key string, s Drawn) {
	if s.Diameter > 0 { // an opening's is drawn round the circle, a surface's into it
		s.Outline = flattened(s.Corners, d.tolerance)
	}
	if err := s.Outline.Validate(); err != nil {
		d.ignore("surface %q: %v", key, err)
		return
	}
	if key == "" {
		key = fmt.Sprintf("surface %d", len(d.out.Surfaces)+1)
	}
	if slices.ContainsFunc(d.out.Surfaces, func(o Drawn) bool { return o.Key == key }) {
		key = fmt.Sprintf("%s %d", key, len(d.out.Surfaces)+1)
	}
	s.Key = key
	d.out.Surfaces = append(d.out.Surfaces, s)
}

// opening adds an opening to the surface around it.
func (d *dxfReader) opening(l dxfLayer, o Drawn) {
	if err := o.Outline.Validate(); err != nil {
		d.ignore("opening %q: %v", l.key, err)
		return
	}
	for i := range d.out.Surfaces {
		s := &d.out.Surfaces[i]
		if !slices.ContainsFunc(o.Outline, func(p Point) bool { return s.Outline.Place(p) == Inside }) {
			continue
		}
		o.Key, o.Kind = l.key, l.kind
		if o.Key == "" || slices.ContainsFunc(s.Openings, func(x Drawn) bool { return x.Key == o.Key }) {
			o.Key = fmt.Sprintf("%s%d", o.Key, len(s.Openings)+1)
		}
		s.Openings = append(s.Openings, o)
		return
	}
	d.ignore("opening %q lies in no surface", l.key)
}

// fromCorner counts the surface from the lower left corner of its box.
func (d *Drawn) fromCorner() {
	low := d.Outline.Box().Min
	d.move(Point{-low.X, -low.Y})
}

func (d *Drawn) move(by Point) {
	d.Outline = d.Outline.Moved(by)
	for i := range d.Corners {
		c := &d.Corners[i].To
		c.X, c.Y = c.X+by.X, c.Y+by.Y
	}
	d.Centre = Point{d.Centre.X + by.X, d.Centre.Y + by.Y}
	for i := range d.Openings {
		d.Openings[i].move(by)
	}
}
