package jobfile

import (
	"fmt"
	"strings"

	"potlife/rooms"
)

// arcWithin is how far the straight lines that stand for an arc may lie from it:
// half a millimetre, less than a nipped curve keeps.
const arcWithin = rooms.Millimetre / 2

// outline is a closed line as it is written. An arc becomes many edges of the
// ring; sides tells, by edge, which written side each is part of, and is nil
// where there is no arc.
type outline struct {
	ring    rooms.Ring
	sides   []int
	corners []arcCorner // of one that is to be written with its arcs
}

// side is the written side of edge i.
func (o outline) side(i int) int {
	if o.sides == nil {
		return i
	}
	return o.sides[i]
}

// count is how many sides are written.
func (o outline) count() int {
	if len(o.sides) == 0 {
		return len(o.ring)
	}
	return o.sides[len(o.sides)-1] + 1
}

// curved reports whether a written side is an arc.
func (o outline) curved(side int) bool {
	n := 0
	for _, s := range o.sides {
		if s == side {
			n++
		}
	}
	return n > 1
}

// arcCorner is a point of an outline, and how the line comes to it.
type arcCorner struct {
	to   rooms.Point
	rise rooms.Length
}

var arcObject = object[arcCorner]{
	name: "arc", doc: fmt.Sprintf("a corner to which the outline comes along an arc, drawn with straight lines nowhere more than %s from it", arcWithin),
	fields: []field[arcCorner]{
		always("to", "the corner [x, y] at which the arc ends; it begins at the corner before", pointForm, func(c *arcCorner) *rooms.Point { return &c.to }).needed(),
		always("rise", "how far the arc's middle lies outside (+) or inside (-) of the straight line between its ends", anyLength, func(c *arcCorner) *rooms.Length { return &c.rise }).needed(),
	},
}

// outlineForm is an outline of straight sides and arcs.
var outlineForm = form[outline]{
	read: readOutline,
	write: func(o outline) any {
		if o.corners == nil {
			return ringForm.write(o.ring)
		}
		var out []any
		for _, c := range o.corners {
			if c.rise == 0 {
				out = append(out, pointForm.write(c.to))
			} else {
				out = append(out, arcObject.write(c))
			}
		}
		return out
	},
	schema: func(s *schemas) any {
		return ordered{{"type", "array"}, {"minItems", 2}, {"items", ordered{{"anyOf", []any{pointForm.schema(s), schemaOf(s, &arcObject)}}}}}
	},
}

func readOutline(r *reader, v *value) (outline, bool) {
	var none outline
	if v.kind != sequence {
		r.failf(v.place, "a list of corners [x, y], or {to: [x, y], rise: 120} where the line comes to one along an arc", "this is %s", v.kind)
		return none, false
	}
	var corners []arcCorner
	for _, in := range v.items {
		c, ok := arcCorner{}, false
		if in.kind == mapping {
			c, ok = arcObject.read(r, in)
			ok = ok && in.get("to") != nil && in.get("rise") != nil
		} else {
			c.to, ok = pointForm.read(r, in)
		}
		if !ok {
			return none, false
		}
		corners = append(corners, c)
	}
	if len(corners) < 2 {
		r.fail(v.place, "the outline has no area", "three corners, or two with an arc")
		return none, false
	}
	o, bad := joined(corners)
	if bad >= 0 {
		r.fail(v.items[bad].place, "this arc cannot be drawn", "a rise that fits the distance between the corner before and this one")
		return none, false
	}
	if len(o.ring) > maxPoints {
		r.failf(v.place, "at most 2000", "the outline has %d points", len(o.ring))
		return none, false
	}
	if err := o.ring.Validate(); err != nil {
		r.failf(v.place, "points [x, y] counter-clockwise round an outline that does not cross itself", "the outline is wrong at %s", err)
		return none, false
	}
	if b := o.ring.Box(); max(b.Width(), b.Height()) > longestSide {
		r.failf(v.place, "at most 50 m (164 ft) either way; divide it into surfaces", "the outline is %.1f by %.1f m", b.Width().Metres(), b.Height().Metres())
		return none, false
	}
	return o, true
}

// joined draws the sides; an arc to corner i is the side before it. bad is the
// corner whose arc cannot be drawn, else -1.
func joined(corners []arcCorner) (o outline, bad int) {
	arcs := false
	for i, from := range corners {
		next := (i + 1) % len(corners)
		line := []rooms.Point{from.to}
		if to := corners[next]; to.rise != 0 {
			var ok bool
			if line, ok = rooms.ArcTo(line, to.to, to.rise, arcWithin); !ok {
				return o, next
			}
			line, arcs = line[:len(line)-1], true
		}
		for _, p := range line {
			o.ring, o.sides = append(o.ring, p), append(o.sides, i)
		}
	}
	if !arcs {
		o.sides = nil
	}
	return o, -1
}

// first is the first edge of a written side.
func (o outline) first(side int) int {
	for i := range o.ring {
		if o.side(i) == side {
			return i
		}
	}
	return side
}

// written are the outlines of a job's surfaces that have arcs, by room/surface.
type written map[string]outline

func (j *job) lines() written {
	out := written{}
	for _, s := range j.sites {
		for _, m := range s.rooms {
			for _, f := range m.surfaces {
				if f.region.outline.sides != nil {
					out[m.Key+"/"+f.key] = f.region.outline
				}
			}
		}
	}
	return out
}

// edge turns the side of "room/surface#side" into the number of its edge: the
// name of a rectangle's side, and a number behind an arc.
func (w written) edge(shared string, sides map[string][]rooms.Edge) string {
	surface, side, ok := strings.Cut(shared, "#")
	if !ok {
		return shared
	}
	o, arcs := w[surface]
	i, fits := sideIndex(side, max(len(sides[surface]), o.count()), len(sides[surface]) == 4)
	if !fits {
		return shared
	}
	if arcs {
		i = o.first(i)
	}
	return fmt.Sprintf("%s#%d", surface, i)
}
