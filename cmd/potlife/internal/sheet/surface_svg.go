package sheet

import (
	"fmt"
	"hash/fnv"

	"potlife/cmd/potlife/internal/plandoc"
)

// Printer makes sheets, drawings and files from plan documents. It has no
// state; its methods may be called at the same time.
type Printer struct{}

// Surface returns the drawing of one surface with all its pieces as an SVG
// element, fitted into 190 × 150 mm. Pieces carry their labels, cut pieces
// their sizes.
func (Printer) Surface(doc *plandoc.Document, key string) ([]byte, error) {
	x := oneSurface(doc, key)
	s := x.Surfaces[key]
	if s == nil {
		return nil, fmt.Errorf("drawing: the plan has no surface %q", key)
	}
	if !drawable(s.Outline) {
		return nil, fmt.Errorf("drawing: surface %q has no outline", key)
	}
	p := &picture{x: x, w: doc.Writing(), surface: s}
	return p.svg(190, 150), nil
}

// oneSurface is an index of nothing but a surface and its room: a page shows
// many drawings, each asked for on its own, of a plan of many rooms.
func oneSurface(doc *plandoc.Document, key string) *plandoc.Index {
	x := &plandoc.Index{Doc: doc, Surfaces: map[string]*plandoc.Surface{}, Rooms: map[string]*plandoc.Room{}}
	for i := range doc.Surfaces {
		if doc.Surfaces[i].Key == key {
			x.Surfaces[key] = &doc.Surfaces[i]
		}
	}
	if s := x.Surfaces[key]; s != nil {
		for i := range doc.Rooms {
			if doc.Rooms[i].Key == s.Room {
				x.Rooms[s.Room] = &doc.Rooms[i]
			}
		}
	}
	return x
}

// SurfaceOn returns the drawing of a surface as it stands on the day of a
// sheet (its index in doc.Sheets): that day's pieces numbered, earlier ones
// grey.
func (Printer) SurfaceOn(doc *plandoc.Document, key string, sheet int) ([]byte, error) {
	d, err := newDay(doc, sheet, plandoc.Mark{})
	if err != nil {
		return nil, err
	}
	for _, dr := range d.Drawings {
		if dr.Surface == key {
			return dr.picture.svg(190, 150), nil
		}
	}
	return nil, fmt.Errorf("drawing: nothing is set on surface %q on %s", key, d.Date)
}

// svg draws the picture into at most w × h mm.
func (p *picture) svg(w, h float64) []byte {
	pw, ph := p.size(w, h)
	c := newSVG(p.id(), p.title(), p.describe(), pw, ph)
	p.draw(c, w, h)
	return c.bytes()
}

func (p *picture) title() string {
	return p.x.RoomName(p.surface.Room) + ", " + p.x.SurfaceName(p.surface.Key)
}

// id is unique among the surfaces of a plan and valid in HTML.
func (p *picture) id() string {
	h := fnv.New64a()
	h.Write([]byte(p.surface.Key))
	return fmt.Sprintf("s%x", h.Sum64())
}
