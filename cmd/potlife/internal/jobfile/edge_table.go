package jobfile

import (
	"fmt"
	"strconv"
	"strings"

	"potlife/rooms"
)

// edge is one side as it is written; what is left out follows from what the
// edge meets.
type edge struct {
	meets, fill, trim, shared *string
	gap, least, most          *rooms.Length
	beyond                    *rooms.Length
	angle                     *float64
	seen, hidden, unmeasured  *bool
	v                         *value
}

var meetings = []string{rooms.InsideCorner, rooms.OutsideCorner, rooms.AtFloor, rooms.AtCeiling, rooms.AtTub, rooms.AtTray, rooms.Doorway, rooms.Fixture, rooms.FreeEdge}

var fills = []string{rooms.FillSealant, rooms.FillGrout, rooms.FillTrim, rooms.FillMitre, rooms.FillNothing}

var edgeObject = object[edge]{
	name: "edge", doc: "what a side of a surface meets and the gap kept there; usual gaps: " + usualGaps(),
	fields: []field[edge]{
		keep("meets", "one of "+list(meetings), maybe(word(meetings...)), func(e *edge) **string { return &e.meets }),
		keep("gap", "nominal gap between tile and edge", maybe(gapLength), func(e *edge) **rooms.Length { return &e.gap }),
		keep("gap_min", "least gap (1 mm under gap if left out)", maybe(gapLength), func(e *edge) **rooms.Length { return &e.least }),
		keep("gap_max", "largest gap (2 mm over gap if left out)", maybe(gapLength), func(e *edge) **rooms.Length { return &e.most }),
		keep("fill", "one of "+list(fills), maybe(word(fills...)), func(e *edge) **string { return &e.fill }),
		keep("trim", "the trim's key, where fill is trim", maybe(keyForm), func(e *edge) **string { return &e.trim }),
		keep("seen", "wants full tiles or large cuts", maybe(flagForm), func(e *edge) **bool { return &e.seen }),
		keep("hidden", "out of sight: takes cuts whatever the line of sight from the door says", maybe(flagForm), func(e *edge) **bool { return &e.hidden }),
		keep("shared", "the same line on another surface of the job: room/surface#3 by the number of the side (from 0, as on its drawing), or room/surface#left of a rectangle; of a niche's face the opening that it lines, room/wall#niche by its key", maybe(textForm), func(e *edge) **string { return &e.shared }),
		keep("beyond", "at a doorway, how high the floor that is there already beyond it stands over the ground of this one; a step is remarked", maybe(zeroLength), func(e *edge) **rooms.Length { return &e.beyond }),
		keep("angle", "what an outside corner measures through the wall, for its mitre (as the floor's outline has it if left out, else 90)", maybe(amount(0, 180, "degrees")), func(e *edge) **float64 { return &e.angle }),
		keep("unmeasured", "no cuts ahead at this edge although the surface is measured", maybe(flagForm), func(e *edge) **bool { return &e.unmeasured }),
	},
	short: func(r *reader, v *value, e *edge) bool {
		got, err := oneOf(v.text, meetings)
		if err != nil {
			what, expected, _ := strings.Cut(err.Error(), "; expected ")
			r.fail(v.place, what, expected)
			return false
		}
		e.meets, e.v = &got, v
		return true
	},
	shortDoc: "what the edge meets: " + list(meetings),
	check:    func(r *reader, v *value, e *edge) { e.v = v },
}

// over fills what e leaves out from base.
func (e edge) over(base edge) edge {
	e.meets, e.fill, e.trim, e.shared = first(e.meets, base.meets), first(e.fill, base.fill), first(e.trim, base.trim), first(e.shared, base.shared)
	e.beyond, e.angle = first(e.beyond, base.beyond), first(e.angle, base.angle)
	e.seen, e.hidden, e.unmeasured = first(e.seen, base.seen), first(e.hidden, base.hidden), first(e.unmeasured, base.unmeasured)
	if e.gap == nil {
		e.least, e.most = first(e.least, base.least), first(e.most, base.most)
	}
	e.gap = first(e.gap, base.gap)
	if e.v == nil {
		e.v = base.v
	}
	return e
}

// gap is a nominal width with its limits, and what fills it.
type gap struct {
	nominal, least, most rooms.Length
	fill                 string
	seen                 bool
}

func mm(n rooms.Length) rooms.Length { return n * rooms.Millimetre }

// usualGaps lists the gaps that are kept where none is written.
func usualGaps() string {
	var out []string
	for _, m := range meetings {
		g := gapAt(m)
		out = append(out, fmt.Sprintf("%s %s (%s to %s), %s", m, g.nominal, bareMM(g.least), g.most, g.fill))
	}
	return strings.Join(append(out, fmt.Sprintf("a floor at its walls %s (%s to %s), %s", floorGap.nominal, bareMM(floorGap.least), floorGap.most, floorGap.fill)), "; ")
}

// gapAt is the gap kept where nothing else is said: the trade's usual one for
// what the edge meets. A profile that has no name closes nothing; at a doorway
// without one the gap is sealed.
func gapAt(meets string) gap {
	e := rooms.DefaultEdge(meets)
	if e.Fill == rooms.FillTrim {
		e.Fill = rooms.FillNothing
		if meets == rooms.Doorway {
			e.Fill = rooms.FillSealant
		}
	}
	return gapOf(e)
}

// mitreGap is what two mitred tiles keep from the arris each: half a joint of
// 1.5 mm, common practice.
var mitreGap = gap{rooms.Millimetre * 3 / 4, rooms.Millimetre / 2, rooms.Millimetre, rooms.FillMitre, true}

// floorGap is the perimeter of a floor at its walls.
var floorGap = gapOf(rooms.Perimeter())

func gapOf(e rooms.Edge) gap { return gap{e.Gap, e.GapMin, e.GapMax, e.Fill, e.Seen} }

// openingGap are the gaps round openings by kind: the joint at a drain is
// grouted (soft joints are not for strainers), all else is sealed; a niche is
// closed by its own faces.
var openingGap = map[string]gap{
	"door":    {mm(3), mm(1), mm(6), rooms.FillSealant, true},
	"window":  {mm(4), mm(3), mm(6), rooms.FillSealant, true},
	"niche":   {mm(2), mm(1), mm(3), rooms.FillGrout, true},
	"drain":   {mm(3), mm(2), mm(5), rooms.FillGrout, false},
	"pipe":    {mm(4), mm(2), mm(8), rooms.FillSealant, false},
	"valve":   {mm(4), mm(2), mm(8), rooms.FillSealant, false},
	"fixture": {mm(4), mm(3), mm(8), rooms.FillSealant, false},
}

var openingKinds = rooms.OpeningKinds()

// limits completes a gap from what is written.
func limitsOf(usual gap, nominal, least, most *rooms.Length) gap {
	if nominal != nil {
		usual.nominal = *nominal
		usual.least, usual.most = max(0, *nominal-mm(1)), *nominal+mm(2)
	}
	usual.least, usual.most = valueOr(least, usual.least), valueOr(most, usual.most)
	return usual
}

// closing is an edge at an outside corner that says nothing of what closes it,
// with what the room says: a mitre, or a trim by its key.
func (e edge) closing(meets string, corners *string) edge {
	if corners == nil || *corners == rooms.FillNothing || e.fill != nil || e.trim != nil || valueOr(e.meets, meets) != rooms.OutsideCorner {
		return e
	}
	if *corners == rooms.FillMitre {
		e.fill = ptr(rooms.FillMitre)
	} else {
		e.trim = corners
	}
	return e
}

// domain completes an edge; side is its index among sides.
func (e edge) domain(r *reader, kind string, side, sides int) rooms.Edge {
	meets := valueOr(e.meets, rooms.UsualMeeting(kind, side, sides))
	usual := gapAt(meets)
	if rooms.Flat(kind) && meets == rooms.InsideCorner {
		usual = floorGap
	}
	if e.trim != nil {
		usual.fill = rooms.FillTrim
	}
	if valueOr(e.fill, usual.fill) == rooms.FillMitre {
		usual = mitreGap
	}
	g := limitsOf(usual, e.gap, e.least, e.most)
	out := rooms.Edge{Meets: meets, Gap: g.nominal, GapMin: g.least, GapMax: g.most, Fill: valueOr(e.fill, usual.fill), Trim: valueOr(e.trim, ""),
		Seen: valueOr(e.seen, usual.seen), Hidden: valueOr(e.hidden, false), Shared: valueOr(e.shared, ""), Beyond: valueOr(e.beyond, 0), Angle: valueOr(e.angle, 0), Unmeasured: valueOr(e.unmeasured, false)}
	if e.v != nil {
		if out.GapMin > out.Gap || out.Gap > out.GapMax {
			r.failf(e.v.place, "gap_min no larger and gap_max no smaller than gap", "the gap %s does not lie between %s and %s", r.say(out.Gap), r.say(out.GapMin), r.say(out.GapMax))
		}
		if out.Fill == rooms.FillTrim && out.Trim == "" {
			r.fail(e.v.place, "the edge is filled by a trim that has no name", "trim: the key of a trim")
		}
		r.productOf(e.v, out.Trim, "trim")
		if e.angle != nil && (*e.angle < leastCorner || *e.angle > mostCorner) {
			r.failf(e.v.at("angle"), fmt.Sprintf("%d to %d degrees, 90 for a square corner", leastCorner, mostCorner), "a corner of %s degrees cannot be mitred", decimals(*e.angle))
		}
	}
	return out
}

// Corners sharper or flatter than these, in degrees, are not mitred: common practice.
const leastCorner, mostCorner = 20, 175

func writeEdge(e rooms.Edge) edge {
	out := edge{meets: &e.Meets, fill: &e.Fill, gap: &e.Gap, least: &e.GapMin, most: &e.GapMax, seen: &e.Seen}
	if e.Trim != "" {
		out.trim = &e.Trim
	}
	if e.Shared != "" {
		out.shared = &e.Shared
	}
	if e.Beyond != 0 {
		out.beyond = &e.Beyond
	}
	if e.Angle != 0 {
		out.angle = &e.Angle
	}
	if e.Hidden {
		out.hidden = &e.Hidden
	}
	if e.Unmeasured {
		out.unmeasured = &e.Unmeasured
	}
	return out
}

// sideNames of a rectangle, in the order of its edges.
var sideNames = []string{"bottom", "right", "top", "left"}

// sideIndex reads the name or number of a side; sides is how many there are.
func sideIndex(name string, sides int, named bool) (int, bool) {
	for i, n := range sideNames {
		if named && strings.EqualFold(n, name) {
			return i, true
		}
	}
	i, err := strconv.Atoi(name)
	return i, err == nil && i >= 0 && i < sides
}

// bySide is a mapping from sides to what f reads.
type bySide[V any] struct {
	name string
	v    *value
	what V
}

func sidesForm[V any](f form[V]) form[[]bySide[V]] {
	return form[[]bySide[V]]{
		read: func(r *reader, v *value) ([]bySide[V], bool) {
			if v.kind != mapping {
				r.failf(v.place, "a mapping from sides: {left: …, 0: …, all: …}", "this is %s", v.kind)
				return nil, false
			}
			var out []bySide[V]
			for _, p := range v.pairs {
				if got, ok := f.read(r, p.value); ok {
					out = append(out, bySide[V]{p.key, &value{place: p.place}, got})
				}
			}
			return out, true
		},
		write: func(sides []bySide[V]) any {
			var out ordered
			for _, s := range sides {
				out = append(out, entry{s.name, f.write(s.what)})
			}
			return out
		},
		schema: func(s *schemas) any {
			return ordered{{"type", "object"}, {"propertyNames", ordered{{"pattern", "^(all|left|right|bottom|top|[0-9]+)$"}}}, {"additionalProperties", f.schema(s)}}
		},
	}
}

// spread gives each side what is written for it, "all" first.
func spread[V any](r *reader, written []bySide[V], sides int, named bool, set func(side int, s bySide[V])) {
	for _, s := range written {
		if s.name == "all" {
			for i := range sides {
				set(i, s)
			}
		}
	}
	for _, s := range written {
		if s.name == "all" {
			continue
		}
		i, ok := sideIndex(s.name, sides, named)
		if !ok {
			expected := "all, or the number of a side from 0 to " + strconv.Itoa(sides-1)
			if named {
				expected = "left, right, bottom, top or all"
			}
			r.failf(s.v.place, expected, "the surface has no side %q", s.name)
			continue
		}
		set(i, s)
	}
}
