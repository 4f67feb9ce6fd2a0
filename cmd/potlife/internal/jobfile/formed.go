package jobfile

import (
	"strings"

	"potlife/rooms"
)

// formed turns the surfaces of a quick form into written ones, each with what is
// said about it (by the key behind the prefix). What the form makes comes first,
// so that it gives way. at tells where an opening is written; none takes the keys
// of surfaces that are not tiled, before the form is expanded.
func formed(r *reader, v *value, prefix string, said map[string]surface, at map[string]*value, expand func() ([]rooms.Surface, error), none *[]string) []surface {
	for _, name := range sortedKeys(said) {
		if said[name].skip {
			*none = append(*none, prefix+name)
		}
	}
	list, err := expand()
	if err != nil {
		r.fail(v.place, err.Error(), "measures that fit each other")
		return nil
	}
	var out []surface
	for _, s := range list {
		w := said[strings.TrimPrefix(s.Key, prefix)].at(v)
		w.key, w.kind = s.Key, s.Kind
		width, height, named := rectangle(s.Outline)
		if named {
			w.region = region{width: &width, height: &height}
		} else {
			w.region = region{outline: outline{ring: s.Outline}}
		}
		if s.Wet {
			w.wet = first(w.wet, ptr(true))
		}
		w.edges = append(formedEdges(v, s, named), w.edges...)
		var openings []opening
		for _, o := range s.Openings {
			openings = append(openings, opening{v: valueAt(at[o.Key], v), key: o.Key, kind: o.Kind, region: writeRegion(o.Outline), hinge: o.Hinge})
		}
		w.openings = append(openings, w.openings...)
		out = append(out, w)
	}
	return out
}

// formedEdges is what a form says about edges beyond the usual.
func formedEdges(v *value, s rooms.Surface, named bool) []bySide[edge] {
	var out []bySide[edge]
	for i, e := range s.Edges {
		derived := edge{v: v}
		if e.Meets != rooms.UsualMeeting(s.Kind, i, len(s.Edges)) {
			derived.meets = ptr(e.Meets)
		}
		if e.Shared != "" {
			derived.shared = ptr(e.Shared)
		}
		if derived.meets != nil || derived.shared != nil {
			out = append(out, bySide[edge]{sideName(i, named), v, derived})
		}
	}
	return out
}

// at is s, written at v where nothing is said about it.
func (s surface) at(v *value) surface {
	if s.v == nil {
		s.v = v
	}
	return s
}

func valueAt(v, usual *value) *value {
	if v == nil {
		return usual
	}
	return v
}
