package rooms

import "slices"

// layerOrder runs from the structure to the tile.
var layerOrder = []string{Stud, Board, Render, Leveller, Membrane, Tiled}

// Beneath reports whether layer a lies further from the finished tile than b.
// A layer that is not named lies beneath none.
func Beneath(a, b string) bool {
	i, k := slices.Index(layerOrder, a), slices.Index(layerOrder, b)
	return i >= 0 && i < k
}

// LastLayer is the layer that the surface's tile is set on: the outermost of
// the one its outline was read on and those its preparation brings.
func (s *Surface) LastLayer() string {
	last := s.Layer
	brings := map[string]string{"board": Board, "level": Leveller, "membrane": Membrane}
	for _, p := range s.Prepare {
		if layer, ok := brings[p]; ok && (last == "" || Beneath(last, layer)) {
			last = layer
		}
	}
	return last
}

// ReadOn is the outermost layer on which edge i was read: that of its readings,
// else that of the outline.
func (s *Surface) ReadOn(i int) string {
	layer := ""
	for _, r := range s.Readings {
		if r.Edge == i && (layer == "" || Beneath(layer, s.layerOf(r))) {
			layer = s.layerOf(r)
		}
	}
	if layer == "" {
		return s.Layer
	}
	return layer
}

func (s *Surface) layerOf(r Reading) string {
	if r.Layer == "" {
		return s.Layer
	}
	return r.Layer
}

// ReadLast reports whether the outline as a whole was read on the last layer
// before setting.
func (s *Surface) ReadLast() bool { return s.Measured && !Beneath(s.Layer, s.LastLayer()) }

// Released reports whether pieces at edge i may be cut ahead: it was read on the
// last layer before setting, with the whole surface or by a reading of its own.
func (s *Surface) Released(i int) bool {
	last := s.LastLayer()
	for _, r := range s.Readings {
		if i >= 0 && r.Edge == i && r.Layer != "" && !Beneath(r.Layer, last) {
			return true
		}
	}
	return s.ReadLast() && !(i >= 0 && i < len(s.Edges) && s.Edges[i].Unmeasured)
}
