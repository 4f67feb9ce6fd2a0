package plandoc

import "reflect"

// drawn are a document's surfaces by key.
func drawn(d *Document) map[string]*Surface {
	out := map[string]*Surface{}
	if d != nil {
		for i := range d.Surfaces {
			out[d.Surfaces[i].Key] = &d.Surfaces[i]
		}
	}
	return out
}

// drawnBefore reports whether a zone is drawn as in the document before: the same
// surface around it, and the same pieces in all but when they are set and from
// which tile they come.
func (c *checker) drawnBefore(s *Surface, z *Zone) bool {
	was := c.before[s.Key]
	if was == nil || !reflect.DeepEqual(s.Outline, was.Outline) || !reflect.DeepEqual(s.Openings, was.Openings) || !reflect.DeepEqual(s.Edges, was.Edges) || len(s.Zones) != len(was.Zones) {
		return false
	}
	for i := range was.Zones {
		if old := &was.Zones[i]; old.Key == z.Key {
			return sameDrawing(*z, *old)
		}
	}
	return false
}

func sameDrawing(a, b Zone) bool {
	if len(a.Pieces) != len(b.Pieces) {
		return false
	}
	for i := range a.Pieces {
		p, q := a.Pieces[i], b.Pieces[i]
		p.Stock, p.Area, p.Late, q.Stock, q.Area, q.Late = "", "", nil, "", "", nil
		if !reflect.DeepEqual(p, q) {
			return false
		}
	}
	a.Pieces, b.Pieces = nil, nil
	return reflect.DeepEqual(a, b)
}
