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
		kind, key := dxfLayer(l.layer)
		if kind == dxfSurface {
			d.surface(key, l.ring)
		}
	}
	if len(d.out.Surfaces) == 0 {
		return DXF{}, errors.New("the drawing has no closed outline on a layer whose name begins with SURFACE")
	}
	for _, l := range d.closed {
		if kind, key := dxfLayer(l.layer); kind == dxfOpening {
			d.opening(key, l.ring)
		}
	}
	for i := range d.out.Surfaces {
		d.out.Surfaces[i].fromCorner()
	}
	return d.out, nil
}

// join makes closed rings of a layer's loose lines, by their ends.
func (d *dxfReader) join(layer string) []Ring {
	lines := slices.Clone(d.loose[layer])
	var rings []Ring
	for len(lines) > 0 {
		path := slices.Clone(lines[0])
		lines = lines[1:]
		for {
			if Distance(path[0], path[len(path)-1]) <= dxfJoin && len(path) > 3 {
				rings = append(rings, Ring(path[:len(path)-1]))
				break
			}
			k := slices.IndexFunc(lines, func(l []Point) bool {
				end := path[len(path)-1]
				return Distance(l[0], end) <= dxfJoin || Distance(l[len(l)-1], end) <= dxfJoin
			})
			if k < 0 {
				d.ignore("a line on layer %q that closes no outline, from (%s, %s)", layer, path[0].X, path[0].Y)
				break
			}
			next := slices.Clone(lines[k])
			if Distance(next[0], path[len(path)-1]) > dxfJoin {
				slices.Reverse(next)
			}
			path = append(path, next[1:]...)
			lines = slices.Delete(lines, k, k+1)
		}
	}
	return rings
}

// surface adds a surface if its outline is simple.
func (d *dxfReader) surface(key string, r Ring) {
	r = counter(r)
	if err := r.Validate(); err != nil {
		d.ignore("surface %q: %v", key, err)
		return
	}
	if key == "" {
		key = fmt.Sprintf("surface %d", len(d.out.Surfaces)+1)
	}
	if slices.ContainsFunc(d.out.Surfaces, func(s Surface) bool { return s.Key == key }) {
		key = fmt.Sprintf("%s %d", key, len(d.out.Surfaces)+1)
	}
	s := Surface{Key: key, Name: key, Outline: r}
	for range r {
		s.Edges = append(s.Edges, DefaultEdge(InsideCorner))
	}
	d.out.Surfaces = append(d.out.Surfaces, s)
}

// opening adds an opening to the surface around it.
func (d *dxfReader) opening(key string, r Ring) {
	r = counter(r)
	if err := r.Validate(); err != nil {
		d.ignore("opening %q: %v", key, err)
		return
	}
	for i := range d.out.Surfaces {
		s := &d.out.Surfaces[i]
		if !slices.ContainsFunc(r, func(p Point) bool { return s.Outline.Place(p) == Inside }) {
			continue
		}
		if key == "" || slices.ContainsFunc(s.Openings, func(o Opening) bool { return o.Key == key }) {
			key = fmt.Sprintf("%s%d", key, len(s.Openings)+1)
		}
		s.Openings = append(s.Openings, Opening{Key: key, Kind: "fixture", Outline: r, Gap: 3 * Millimetre, GapMin: 2 * Millimetre, GapMax: 6 * Millimetre, Fill: FillSealant})
		return
	}
	d.ignore("opening %q lies in no surface", key)
}

// counter is the ring counter-clockwise, points that repeat left out.
func counter(r Ring) Ring {
	r = r.Simplify()
	if len(r) > 2 && r.Area().Sign() < 0 {
		r = r.Reversed()
	}
	return r
}

// fromCorner counts the surface from the lower left corner of its box.
func (s *Surface) fromCorner() {
	low := s.Outline.Box().Min
	shift := Point{-low.X, -low.Y}
	s.Outline = s.Outline.Moved(shift)
	for i := range s.Openings {
		s.Openings[i].Outline = s.Openings[i].Outline.Moved(shift)
	}
}
