package jobfile

import (
	"potlife/rooms"
)

// surface as it is written.
type surface struct {
	v               *value
	key, name, kind string
	region          region
	layer           *string
	measured, wet   *bool
	ledger          *bool
	edges           []bySide[edge]
	openings        []opening
	set             setting
	zones           []zone
	border          *border
	band            *band
	inset           *inset
	readings        []reading
	deduct          []bySide[rooms.Length]
	prepare         *[]string
	levellerDepth   *rooms.Length
	difficulty      *float64
	extras          extras
	skip            bool
}

var surfaceKinds = []string{rooms.Floor, rooms.Wall, rooms.Ceiling, rooms.ShowerFloor, rooms.TubSurround, rooms.NicheFace, rooms.Bench, rooms.Kerb, rooms.Splash}

var layers = []string{rooms.Stud, rooms.Board, rooms.Render, rooms.Leveller, rooms.Membrane, rooms.Tiled}

var preparations = []string{"level", "prime", "board", "membrane", "flood test"}

// surfaceObject is a surface with its outline.
var surfaceObject = object[surface]{
	name: "surface", doc: "one plane to be tiled, seen from the side that is tiled: x to the right, y up",
	fields: append([]field[surface]{
		keep("key", "the surface's key, its own in the room", keyForm, func(s *surface) *string { return &s.key }).needed(),
		keep("name", "what it is called on the sheets", textForm, func(s *surface) *string { return &s.name }),
		keep("kind", "one of "+list(surfaceKinds), word(surfaceKinds...), func(s *surface) *string { return &s.kind }).needed(),
		keep("width", "width of a rectangle", maybe(sideLength), func(s *surface) **rooms.Length { return &s.region.width }),
		keep("height", "height of a rectangle (of a floor: its depth)", maybe(sideLength), func(s *surface) **rooms.Length { return &s.region.height }),
		keep("outline", "corners [x, y] of any other shape, counter-clockwise; {to: [x, y], rise: 120} comes to one along an arc", outlineForm, func(s *surface) *outline { return &s.region.outline }),
	}, faceFields...),
	check: func(r *reader, v *value, s *surface) { s.v = v },
}

// faceObject is what may be said about a surface whose outline is known
// already: a side of a rectangular room.
var faceObject = object[surface]{
	name: "face", doc: "what is said about one side of a rectangular room",
	fields: append([]field[surface]{
		keep("name", "what it is called on the sheets", textForm, func(s *surface) *string { return &s.name }),
	}, faceFields...),
	check:    func(r *reader, v *value, s *surface) { s.v = v },
	short:    func(r *reader, v *value, s *surface) bool { return readNoFace(r, v, s) },
	shortDoc: "none: this side is not tiled",
}

func readNoFace(r *reader, v *value, s *surface) bool {
	if !v.isWord("none") {
		r.failf(v.place, "none, or a mapping", "%q does not describe a side", v.text)
		return false
	}
	s.skip, s.v = true, v
	return true
}

var faceFields = append([]field[surface]{
	keep("layer", "layer on which it was measured: "+list(layers), maybe(word(layers...)), func(s *surface) **string { return &s.layer }),
	keep("measured", "its outline was read as it will be tiled: on the last layer before setting (board, leveller or membrane by what prepare brings), so that cuts may be made ahead", maybe(flagForm), func(s *surface) **bool { return &s.measured }),
	keep("wet", "gets a membrane before it is tiled (shower floors and tub surrounds are, if left out)", maybe(flagForm), func(s *surface) **bool { return &s.wet }),
	keep("ledger", "the first full course stands on a batten", maybe(flagForm), func(s *surface) **bool { return &s.ledger }),
	keep("edges", "by side: left, right, bottom, top of a rectangle, numbers of an outline, from 0 as on its drawing (side 0 leaves its first corner; an arc is one side), or all", sidesForm(of(&edgeObject)), func(s *surface) *[]bySide[edge] { return &s.edges }),
	keep("openings", "what is not tiled", listOf(of(&openingObject)), func(s *surface) *[]opening { return &s.openings }),
	setField("set", "how it is set, where no zone says otherwise", func(s *surface) *setting { return &s.set }),
	keep("zones", "parts set in their own way: a band, a border, a niche", listOf(of(&zoneObject)), func(s *surface) *[]zone { return &s.zones }),
	keep("border", "a border round it", maybe(of(&borderObject)), func(s *surface) **border { return &s.border }),
	keep("band", "a band across it, or another tile from a height up", maybe(of(&bandObject)), func(s *surface) **band { return &s.band }),
	keep("inset", "an inset or feature panel, in its middle unless a place is given", maybe(of(&insetObject)), func(s *surface) **inset { return &s.inset }),
	keep("readings", "measurements taken on it", listOf(of(&readingObject)), func(s *surface) *[]reading { return &s.readings }),
	keep("deduct", "by side: what a neighbour's tile, bed and layers take off; computed from what the neighbours of shared sides are tiled with if left out (deduct: {all: 0} takes nothing off)", sidesForm(anyLength), func(s *surface) *[]bySide[rooms.Length] { return &s.deduct }),
	keep("prepare", "any of "+list(preparations)+"; done in the order board, prime, level, membrane, flood test, however listed", maybe(listOf(word(preparations...))), func(s *surface) **[]string { return &s.prepare }),
	keep("leveller_depth", "mean depth of leveller", maybe(length(0, 200*rooms.Millimetre)), func(s *surface) **rooms.Length { return &s.levellerDepth }),
	keep("difficulty", "multiplies the setting time", maybe(amount(0.1, 10, "times")), func(s *surface) **float64 { return &s.difficulty }),
}, extraFields...)

// setField keeps a setting, which is no comparable value.
func setField[T any](key, doc string, at func(*T) *setting) field[T] {
	f := keep(key, doc, of(&setObject), at)
	write := f.write
	f.write = func(t *T) (any, bool) {
		if at(t).none {
			return raw("none"), true
		}
		return write(t)
	}
	return f
}

// opening as it is written.
type opening struct {
	v                *value
	key, kind        string
	region           region
	gap, least, most *rooms.Length
	fill, trim       *string
	notYet           bool
	seen             *bool
	hidden           bool
	hinge            string
}

var hinges = []string{rooms.HingeLeft, rooms.HingeRight}

const hingeDoc = "the side on which a door that opens into the room hangs, seen from inside: left or right; its open leaf hides what is behind it (left out where it opens the other way or slides)"

var openingObject = object[opening]{
	name: "opening", doc: "a part of a surface that is not tiled: a rectangle, an outline or a circle",
	fields: append(append([]field[opening]{
		keep("key", "the opening's key", keyForm, func(o *opening) *string { return &o.key }).needed(),
		keep("kind", "one of "+list(openingKinds), word(openingKinds...), func(o *opening) *string { return &o.kind }).needed(),
	}, regionFields(func(o *opening) *region { return &o.region })...),
		keep("diameter", "of a circle whose centre is x, y; its gap comes on top", maybe(sideLength), func(o *opening) **rooms.Length { return &o.region.diameter }),
		keep("gap", "nominal gap round it", maybe(gapLength), func(o *opening) **rooms.Length { return &o.gap }),
		keep("gap_min", "least gap", maybe(gapLength), func(o *opening) **rooms.Length { return &o.least }),
		keep("gap_max", "largest gap", maybe(gapLength), func(o *opening) **rooms.Length { return &o.most }),
		keep("fill", "one of "+list(fills), maybe(word(fills...)), func(o *opening) **string { return &o.fill }),
		keep("trim", "the trim's key, where fill is trim: a length for each side, such as round a niche", maybe(keyForm), func(o *opening) **string { return &o.trim }),
		keep("not_yet", "the fixture is not in place: pieces at it are measured on site", flagForm, func(o *opening) *bool { return &o.notYet }),
		keep("seen", "wants full tiles or large cuts", maybe(flagForm), func(o *opening) **bool { return &o.seen }),
		keep("hidden", "out of sight: takes cuts", flagForm, func(o *opening) *bool { return &o.hidden }),
		keep("hinge", hingeDoc, word(hinges...), func(o *opening) *string { return &o.hinge }),
	),
	check: func(r *reader, v *value, o *opening) {
		if o.v = v; o.hinge != "" && o.kind != "door" && o.kind != "" {
			r.failf(v.at("hinge"), "a hinge at a door only", "a %s has no hinge", o.kind)
		}
	},
}

func (o opening) domain(r *reader) (rooms.Opening, bool) {
	usual := openingGap[o.kind]
	if o.trim != nil {
		usual.fill = rooms.FillTrim
	}
	if valueOr(o.fill, usual.fill) == rooms.FillMitre {
		usual = mitreGap
	}
	g := limitsOf(usual, o.gap, o.least, o.most)
	out := rooms.Opening{Key: o.key, Kind: o.kind, Gap: g.nominal, GapMin: g.least, GapMax: g.most, Fill: valueOr(o.fill, usual.fill), Trim: valueOr(o.trim, ""), NotYet: o.notYet, Seen: valueOr(o.seen, usual.seen), Hidden: o.hidden, Hinge: o.hinge}
	if out.GapMin > out.Gap || out.Gap > out.GapMax {
		r.failf(o.v.place, "gap_min no larger and gap_max no smaller than gap", "the gap %s does not lie between %s and %s", r.say(out.Gap), r.say(out.GapMin), r.say(out.GapMax))
	}
	if out.Fill == rooms.FillTrim && out.Trim == "" {
		r.fail(o.v.place, "the opening is edged by a trim that has no name", "trim: the key of a trim")
	}
	r.productOf(o.v, out.Trim, "trim")
	var ok bool
	out.Outline, ok = o.region.ring(r, o.v, "opening")
	return out, ok
}

// closing is a niche that says nothing of its edges, with what the room says of
// its outside corners.
func (o opening) closing(corners *string) opening {
	if corners == nil || *corners == rooms.FillNothing || o.fill != nil || o.trim != nil || o.kind != "niche" {
		return o
	}
	if *corners == rooms.FillMitre {
		o.fill = ptr(rooms.FillMitre)
	} else {
		o.trim = corners
	}
	return o
}

func writeOpening(o rooms.Opening) opening {
	out := opening{key: o.Key, kind: o.Kind, region: writeRegion(o.Outline), gap: &o.Gap, least: &o.GapMin, most: &o.GapMax, fill: &o.Fill, notYet: o.NotYet, seen: &o.Seen, hidden: o.Hidden, hinge: o.Hinge}
	if o.Trim != "" {
		out.trim = &o.Trim
	}
	return out
}

// reading as it is written.
type reading struct {
	v           *value
	edge        string
	at, off     rooms.Length
	layer, note string
}

var readingObject = object[reading]{
	name: "reading", doc: "how far the true edge lies from the outline at one place",
	fields: []field[reading]{
		keep("edge", "the side, or whole for a check of the whole surface", textForm, func(m *reading) *string { return &m.edge }).needed(),
		keep("at", "distance along the edge, counter-clockwise", zeroLength, func(m *reading) *rooms.Length { return &m.at }),
		always("off", "how far the edge lies outside (+) or inside (-) of the outline", anyLength, func(m *reading) *rooms.Length { return &m.off }).needed(),
		keep("layer", "layer on which it was taken (the surface's if left out); on an edge the outermost layer holds", word(layers...), func(m *reading) *string { return &m.layer }),
		keep("note", "a remark", textForm, func(m *reading) *string { return &m.note }),
	},
	check: func(r *reader, v *value, m *reading) { m.v = v },
}
