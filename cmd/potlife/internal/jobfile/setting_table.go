package jobfile

import (
	"maps"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// setting says how a surface is set. Each part may be left out and is then
// inherited: from the surface, the room, the job.
type setting struct {
	where                        map[string]place // of what is written, by key
	v                            *value
	none                         bool
	tile, mortar, grout, sealant *string
	pattern                      *string
	tiles                        *[]string
	turn                         *int
	joint                        *rooms.Length
	datum                        *rooms.Datum
	sideways, backButter         *bool
}

// placed notes where each part of a setting is written.
func (s *setting) placed(v *value) {
	s.v, s.where = v, map[string]place{}
	for _, p := range v.pairs {
		if p.value.kind != nothing {
			s.where[p.key] = p.value.place
		}
	}
}

// over fills what s leaves out from base.
func (s setting) over(base setting) setting {
	if len(base.where) > 0 {
		where := maps.Clone(base.where)
		maps.Copy(where, s.where)
		s.where = where
	}
	s.tile, s.mortar, s.grout = first(s.tile, base.tile), first(s.mortar, base.mortar), first(s.grout, base.grout)
	s.sealant, s.pattern, s.turn = first(s.sealant, base.sealant), first(s.pattern, base.pattern), first(s.turn, base.turn)
	s.tiles = first(s.tiles, base.tiles)
	s.joint, s.datum = first(s.joint, base.joint), first(s.datum, base.datum)
	s.sideways, s.backButter = first(s.sideways, base.sideways), first(s.backButter, base.backButter)
	return s
}

func first[V any](a, b *V) *V {
	if a != nil {
		return a
	}
	return b
}

func valueOr[V any](p *V, def V) V {
	if p == nil {
		return def
	}
	return *p
}

// settingFields are the keys of a setting inside any object that holds one.
func settingFields[T any](at func(*T) *setting) []field[T] {
	return []field[T]{
		keep("tile", "the tile's key", maybe(keyForm), func(t *T) **string { return &at(t).tile }),
		keep("more_tiles", "further tiles of a pattern of several sizes, in the pattern's order", maybe(listOf(keyForm)), func(t *T) **[]string { return &at(t).tiles }),
		keep("mortar", "the mortar's key", maybe(keyForm), func(t *T) **string { return &at(t).mortar }),
		keep("grout", "the grout's key", maybe(keyForm), func(t *T) **string { return &at(t).grout }),
		keep("sealant", "the sealant's key", maybe(keyForm), func(t *T) **string { return &at(t).sealant }),
		keep("pattern", patternDoc, maybe(patternForm), func(t *T) **string { return &at(t).pattern }),
		keep("turn", "the pattern's direction in degrees, counter-clockwise", maybe(whole(-360, 360, "degrees")), func(t *T) **int { return &at(t).turn }),
		keep("joint", "joint width", maybe(length(500*rooms.Micrometre, 50*rooms.Millimetre)), func(t *T) **rooms.Length { return &at(t).joint }),
		keep("datum", "where the pattern starts: best, or {across: on joint, up: full low}", maybe(of(&datumObject)), func(t *T) **rooms.Datum { return &at(t).datum }),
		keep("sideways", "a rectangular tile stands on its short side", maybe(flagForm), func(t *T) **bool { return &at(t).sideways }),
		keep("back_butter", "a skim goes on the back of each tile", maybe(flagForm), func(t *T) **bool { return &at(t).backButter }),
	}
}

var setObject = object[setting]{
	name: "set", doc: "how tile is set; what is left out is inherited from surface, room, job",
	fields:   settingFields(func(s *setting) *setting { return s }),
	short:    readNoSetting,
	shortDoc: "none: nothing but the zones is tiled",
	check:    func(r *reader, v *value, s *setting) { s.placed(v) },
}

func readNoSetting(r *reader, v *value, s *setting) bool {
	if !v.isWord("none") {
		r.failf(v.place, "none, or a mapping with tile, pattern, joint …", "%q is no setting", v.text)
		return false
	}
	s.none, s.v = true, v
	return true
}

var datumWords = []string{rooms.Best, rooms.OnJoint, rooms.OnTile, rooms.FullLeft, rooms.FullRight, rooms.FullLow, rooms.FullHigh, rooms.At}

var acrossForm = word(rooms.Best, rooms.OnJoint, rooms.OnTile, rooms.FullLeft, rooms.FullRight, rooms.Carry, rooms.At)
var upForm = word(rooms.Best, rooms.OnJoint, rooms.OnTile, rooms.FullLow, rooms.FullHigh, rooms.At)

var datumObject = object[rooms.Datum]{
	name: "datum", doc: "where a pattern starts, along x and along y",
	start: func() rooms.Datum { return rooms.Datum{Up: rooms.Best} },
	fields: []field[rooms.Datum]{
		keep("across", "best (its own; left out, the best too, but walls in an offset pattern go on from each other round inside corners), on joint, on tile, full left, full right, carry round (on from the wall beyond a shared inside corner), or at", acrossForm, func(d *rooms.Datum) *string { return &d.Across }),
		keep("up", "best, on joint, on tile, full low, full high, or at", upForm, func(d *rooms.Datum) *string { return &d.Up }),
		keep("x", "for across: at, the left side of a tile", anyLength, func(d *rooms.Datum) *rooms.Length { return &d.X }),
		keep("y", "for up: at, the lower side of a tile", anyLength, func(d *rooms.Datum) *rooms.Length { return &d.Y }),
	},
	short:    readDatumWord,
	shortDoc: "one policy: " + list(datumWords),
	check: func(r *reader, v *value, d *rooms.Datum) {
		if v.get("x") != nil && d.Across != rooms.At {
			r.fail(v.at("x"), "x is given without across: at", "across: at")
		}
		if v.get("y") != nil && d.Up != rooms.At {
			r.fail(v.at("y"), "y is given without up: at", "up: at")
		}
	},
}

// readDatumWord reads one policy for both directions, or for the one it is
// about.
func readDatumWord(r *reader, v *value, d *rooms.Datum) bool {
	got, err := oneOf(v.text, datumWords[:7])
	if err != nil {
		r.failf(v.place, "one of "+list(datumWords[:7]), "%q is no datum", v.text)
		return false
	}
	switch got {
	case rooms.FullLeft, rooms.FullRight:
		d.Across = got
	case rooms.FullLow, rooms.FullHigh:
		d.Up = got
	default:
		d.Across, d.Up = got, got
	}
	return true
}

// zone is a part of a surface as it is written.
type zone struct {
	setting
	v      *value
	key    string
	region region
	trim   *string
}

var zoneObject = object[zone]{
	name: "zone", doc: "a part of a surface set in its own way; without a region it is what the others leave",
	fields: append(append([]field[zone]{
		keep("key", "the zone's key", keyForm, func(z *zone) *string { return &z.key }).needed(),
	}, regionFields(func(z *zone) *region { return &z.region })...),
		append(settingFields(func(z *zone) *setting { return &z.setting }),
			keep("trim", "the trim's key, along sides that end free because nothing is tiled beyond them (left out: the tile's own edge is left there)", maybe(keyForm), func(z *zone) **string { return &z.trim }))...),
	check: func(r *reader, v *value, z *zone) {
		z.v = v
		z.placed(v)
	},
}

// region is a rectangle or an outline, or a circle where that is asked for.
type region struct {
	x, y, width, height, diameter *rooms.Length
	outline                       outline
}

func regionFields[T any](at func(*T) *region) []field[T] {
	return []field[T]{
		keep("x", "left side, from the surface's left", maybe(anyLength), func(t *T) **rooms.Length { return &at(t).x }),
		keep("y", "lower side, from the surface's foot", maybe(anyLength), func(t *T) **rooms.Length { return &at(t).y }),
		keep("width", "width", maybe(sideLength), func(t *T) **rooms.Length { return &at(t).width }),
		keep("height", "height", maybe(sideLength), func(t *T) **rooms.Length { return &at(t).height }),
		keep("outline", "corners [x, y] counter-clockwise; {to: [x, y], rise: 120} comes to one along an arc", outlineForm, func(t *T) *outline { return &at(t).outline }),
	}
}

// given reports whether anything of the region is said.
func (g region) given() bool {
	return g.x != nil || g.y != nil || g.width != nil || g.height != nil || g.diameter != nil || len(g.outline.ring) > 0
}

// ring is the region's outline; v is where it stands.
func (g region) ring(r *reader, v *value, what string) (rooms.Ring, bool) {
	rect := g.width != nil || g.height != nil
	switch {
	case len(g.outline.ring) > 0 && !rect && g.diameter == nil && g.x == nil && g.y == nil:
		return g.outline.ring, true
	case g.diameter != nil && !rect && len(g.outline.ring) == 0 && g.x != nil && g.y != nil:
		return circle(*g.x, *g.y, *g.diameter), true
	case g.width != nil && g.height != nil && g.diameter == nil && len(g.outline.ring) == 0:
		x, y := valueOr(g.x, 0), valueOr(g.y, 0)
		return rooms.Rect(x, y, x+*g.width, y+*g.height), true
	case g.misread(v):
		return nil, false // reported already
	}
	expected := "x, y, width and height, or an outline"
	if what == "surface" {
		expected = "width and height, or an outline"
	}
	r.failf(v.place, expected, "the %s has no clear shape", what)
	return nil, false
}

// misread reports whether a key of the region is there and could not be read.
func (g region) misread(v *value) bool {
	for key, in := range map[string]*rooms.Length{"x": g.x, "y": g.y, "width": g.width, "height": g.height, "diameter": g.diameter} {
		if in == nil && v.get(key) != nil {
			return true
		}
	}
	return v.get("outline") != nil && len(g.outline.ring) == 0
}

// writeRegion is the shortest way to write a ring: a rectangle where it is one.
func writeRegion(ring rooms.Ring) region {
	if len(ring) == 4 {
		b := ring.Box()
		if equalRings(ring, rooms.Rect(b.Min.X, b.Min.Y, b.Max.X, b.Max.Y)) {
			x, y, w, h := b.Min.X, b.Min.Y, b.Width(), b.Height()
			return region{x: &x, y: &y, width: &w, height: &h}
		}
	}
	return region{outline: outline{ring: ring}}
}

// domain turns a zone into the domain's, complaining about what is neither
// given nor inherited.
func (z zone) domain(r *reader, what string) (rooms.Zone, bool) {
	s := z.setting
	out := rooms.Zone{Key: z.key, Tile: valueOr(s.tile, ""), Mortar: valueOr(s.mortar, ""), Grout: valueOr(s.grout, ""), Sealant: valueOr(s.sealant, ""),
		Pattern: valueOr(s.pattern, "straight"), Turn: valueOr(s.turn, 0), Joint: valueOr(s.joint, 0), Sideways: valueOr(s.sideways, false),
		BackButter: valueOr(s.backButter, false), Trim: valueOr(z.trim, ""), Datum: valueOr(s.datum, rooms.Datum{Up: rooms.Best})}
	if more := valueOr(s.tiles, nil); len(more) > 0 {
		out.Tiles = more
	}
	for _, in := range []struct {
		key   string
		given bool
	}{{"tile", out.Tile != ""}, {"mortar", out.Mortar != ""}, {"grout", out.Grout != ""}, {"joint", out.Joint != 0}} {
		if in.given {
			continue
		}
		if _, misread := s.where[in.key]; !misread { // reported already
			r.lacking(in.key, z.v.place, what)
		}
		return out, false
	}
	z.references(r, out)
	if z.region.given() {
		ring, ok := z.region.ring(r, z.v, "zone")
		out.Region = ring
		return out, ok
	}
	return out, true
}

// references checks the products a zone names, once the firm is known.
func (z zone) references(r *reader, out rooms.Zone) {
	at := func(key string) *value {
		if at, ok := z.setting.where[key]; ok {
			return &value{place: at}
		}
		return &value{place: z.v.place}
	}
	r.tile(at("tile"), out.Tile, func(t *takeoff.Tile) {
		if len(t.Shape) == 0 {
			return // reported already
		}
		box := t.Shape.Box()
		if side := min(box.Width(), box.Height()); out.Joint >= side {
			r.failf(at("joint").place, "a joint narrower than the tile", "the joint of %s is as wide as the tile %s (%s) or wider", r.say(out.Joint), t.Key, r.say(side))
		}
	})
	r.pattern(at("pattern").place, out)
	for _, more := range out.Tiles {
		r.tile(at("more_tiles"), more, nil)
	}
	r.productOf(at("mortar"), out.Mortar, takeoff.KindMortar)
	r.productOf(at("grout"), out.Grout, takeoff.KindGrout)
	r.productOf(at("sealant"), out.Sealant, takeoff.KindSealant)
	r.productOf(valueAt(z.v.get("trim"), z.v), out.Trim, takeoff.KindTrim)
}

// patternDoc names every pattern that ships. Sheets of mosaic are entered as tiles
// of the sheet's size.
var patternDoc = strings.Join(takeoff.PatternNames(), "; ") + `; any offsets of the courses as they repeat, such as "offset 0,1/4"; or one of the firm's own (straight if left out)`
