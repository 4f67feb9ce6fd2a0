package jobfile

import "potlife/rooms"

// leftOut as it is written.
type leftOut struct {
	v      *value
	at     string
	region region
	why    string
	until  rooms.Date
}

var leftOutObject = object[leftOut]{
	name: "left_out", doc: "pieces that are left out on purpose and set when all else is: those at an opening, or those that reach into a rectangle or an outline on the surface",
	fields: append(append([]field[leftOut]{
		keep("at", "key of an opening of the surface, such as a valve or a drain that is still to be fitted", textForm, func(l *leftOut) *string { return &l.at }),
	}, regionFields(func(l *leftOut) *region { return &l.region })...),
		keep("why", "the reason, as the sheet says it", textForm, func(l *leftOut) *string { return &l.why }).needed(),
		keep("until", "first day on which they may be set (as soon as the field is, if left out)", dateForm, func(l *leftOut) *rooms.Date { return &l.until }),
	),
	check: func(r *reader, v *value, l *leftOut) {
		l.v = v
		if (l.at != "") == l.region.given() && !r.told(v) {
			r.fail(v.place, "it is not clear what is left out", "either at, the key of an opening, or a place: x, y, width and height, or an outline")
		}
	},
}

// expandLeftOut places what is left out on the surface.
func (s *surface) expandLeftOut(r *reader, out *rooms.Surface) {
	for _, l := range s.extras.leftOut {
		got := rooms.LeftOut{Opening: l.at, Why: l.why, Until: l.until}
		if l.at != "" {
			known := false
			for _, o := range out.Openings {
				known = known || o.Key == l.at
			}
			if !known {
				r.failf(l.v.at("at"), "the key of one of its openings", "surface %s has no opening %q", s.key, l.at)
				continue
			}
		} else if l.region.given() {
			ring, ok := l.region.ring(r, l.v, "place left out")
			if !ok {
				continue
			}
			if !ring.Box().Meets(out.Outline.Box()) {
				r.failf(l.v.place, "a place on the surface, which is "+r.sizeText(out.Outline), "what is left out (%s) lies beside the surface %s", r.placeText(ring), s.key)
				continue
			}
			got.Region = ring
		}
		out.LeftOut = append(out.LeftOut, got)
	}
}

// writeLeftOut is the way back.
func writeLeftOut(in []rooms.LeftOut) (out []leftOut) {
	for _, l := range in {
		w := leftOut{at: l.Opening, why: l.Why, until: l.Until}
		if l.Opening == "" {
			w.region = writeRegion(l.Region)
		}
		out = append(out, w)
	}
	return out
}
