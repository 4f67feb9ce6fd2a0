package jobfile

import (
	"fmt"

	"potlife/rooms"
)

// border is the quick form of a border round a surface: a zone along every side.
type border struct {
	setting
	v               *value
	width, distance rooms.Length
	corners         string
}

// How the strips of a border meet at square corners.
const (
	buttedCorners = "butted"
	mitredCorners = "mitred"
)

var borderObject = object[border]{
	name: "border", doc: "a border round a surface, which becomes zones named border-bottom, border-right, border-top and border-left of a rectangle, border-0, border-1 … by side of any other outline; its courses run along the sides, straight unless a pattern is named; a doorway set back into the wall is passed straight, and at the wall its recess becomes a zone doorway of the field's tile",
	fields: append([]field[border]{
		keep("width", "how wide it is, joint included: tile of 97 with a joint of 3 fills 100", sideLength, func(b *border) *rooms.Length { return &b.width }).needed(),
		keep("distance", "how far it lies from the wall (0 if left out: its tile begins at the wall's gap, whole); what lies outside it is set as the field", zeroLength, func(b *border) *rooms.Length { return &b.distance }),
		keep("corners", "at square corners: butted (each strip runs past the end of the next; if left out) or mitred (both cut at 45 degrees); other corners are mitred", word(buttedCorners, mitredCorners), func(b *border) *string { return &b.corners }),
	}, settingFields(func(b *border) *setting { return &b.setting })...),
	check: func(r *reader, v *value, b *border) {
		b.v = v
		b.placed(v)
	},
}

// band is the quick form of a band across a surface, or of another tile from a
// height up.
type band struct {
	setting
	v            *value
	from, height rooms.Length
	trim         *string
}

var bandObject = object[band]{
	name: "band", doc: "a band from side to side of a surface, which becomes a zone named band; without a height everything from there up: a change of tile at a height",
	fields: append([]field[band]{
		keep("from", "height of its lower line over the surface's foot", zeroLength, func(b *band) *rooms.Length { return &b.from }).needed(),
		keep("height", "how high it is, joint included (to the top if left out)", sideLength, func(b *band) *rooms.Length { return &b.height }),
		keep("trim", "the trim's key, along its lines where nothing is tiled beyond them", maybe(keyForm), func(b *band) **string { return &b.trim }),
	}, settingFields(func(b *band) *setting { return &b.setting })...),
	check: func(r *reader, v *value, b *band) {
		b.v = v
		b.placed(v)
	},
}

// inset is the quick form of a rectangle set in its own way: an inset of a floor, a
// feature panel of a wall.
type inset struct {
	setting
	v             *value
	x, y          *rooms.Length
	width, height rooms.Length
	trim          *string
}

var insetObject = object[inset]{
	name: "inset", doc: "a rectangle set in its own way, an inset of a floor or a feature panel of a wall, which becomes a zone named inset; it lies in the middle of the surface, each way, where nothing else is said",
	fields: append([]field[inset]{
		keep("width", "width, joint included", sideLength, func(i *inset) *rooms.Length { return &i.width }).needed(),
		keep("height", "height (of a floor: its depth), joint included", sideLength, func(i *inset) *rooms.Length { return &i.height }).needed(),
		keep("x", "left side, from the surface's left (in the middle if left out)", maybe(zeroLength), func(i *inset) **rooms.Length { return &i.x }),
		keep("y", "lower side, from the surface's foot (in the middle if left out)", maybe(zeroLength), func(i *inset) **rooms.Length { return &i.y }),
		keep("trim", "the trim's key, along its sides where nothing is tiled beyond them", maybe(keyForm), func(i *inset) **string { return &i.trim }),
	}, settingFields(func(i *inset) *setting { return &i.setting })...),
	check: func(r *reader, v *value, i *inset) {
		i.v = v
		i.placed(v)
	},
}

// quickZones are the zones for which a border, a band and an inset stand.
func (s *surface) quickZones(r *reader, out *rooms.Surface) []zone {
	var list []zone
	if s.border != nil {
		list = append(list, s.border.zones(r, out)...)
	}
	if s.band != nil {
		list = append(list, s.band.zones(r, out)...)
	}
	if s.inset != nil {
		list = append(list, s.inset.zones(out)...)
	}
	return list
}

// zones are the strips of the border, each with its pattern along its side.
func (b *border) zones(r *reader, out *rooms.Surface) []zone {
	if b.width == 0 {
		return nil // reported already
	}
	straight, recesses := rooms.PastRecesses(out.Outline, out.Edges)
	strips, err := rooms.Border(straight, b.distance, b.width, b.corners == mitredCorners)
	if err != nil {
		r.fail(b.v.place, err.Error(), "a border that every side of the surface has room for")
		return nil
	}
	set := b.setting
	if set.pattern == nil { // its courses run along it, whatever the field's do
		set.pattern, set.tiles = ptr("straight"), first(set.tiles, &[]string{})
	}
	set.datum = first(set.datum, &rooms.Datum{Up: rooms.Best})
	set.sideways = first(set.sideways, ptr(false))
	if len(recesses) > 0 {
		straight = straight.Simplify()
	}
	_, _, named := rectangle(straight)
	list := b.doorways(recesses)
	for i, p := range strips {
		z := zone{setting: set, v: b.v, key: "border-" + sideName(i, named), region: region{outline: outline{ring: p.Region}}}
		z.turn = ptr((valueOr(b.turn, 0) + p.Degrees) % 180)
		list = append(list, z)
	}
	return list
}

// doorways are zones of their own in the recesses that a border at the wall passes: the
// field's tile, straight, so that it is one piece where the tile is as deep.
func (b *border) doorways(recesses []rooms.Ring) []zone {
	if b.distance > 0 {
		return nil // the field runs through to them
	}
	var list []zone
	for i, r := range recesses {
		key := "doorway"
		if i > 0 {
			key = fmt.Sprintf("doorway-%d", i+1)
		}
		z := zone{setting: setting{pattern: ptr("straight"), tiles: &[]string{}, turn: ptr(0), datum: &rooms.Datum{Up: rooms.Best}}, v: b.v, key: key, region: writeRegion(counterClockwise(r))}
		list = append(list, z)
	}
	return list
}

// counterClockwise is a ring from its lower left corner on, where it is upright.
func counterClockwise(r rooms.Ring) rooms.Ring {
	box := r.Box()
	if up := rooms.Rect(box.Min.X, box.Min.Y, box.Max.X, box.Max.Y); up.Area() == r.Area() {
		return up
	}
	return r
}

// zones is the band.
func (b *band) zones(r *reader, out *rooms.Surface) []zone {
	if b.v.get("from") == nil {
		return nil // reported already
	}
	to := b.from + b.height
	if b.height == 0 {
		to = out.Outline.Box().Max.Y
	}
	ring, err := rooms.Band(out.Outline, b.from, to)
	if err != nil {
		r.fail(b.v.place, err.Error(), "heights between the surface's foot and its top")
		return nil
	}
	return []zone{{setting: b.setting, v: b.v, key: "band", region: writeRegion(ring), trim: b.trim}}
}

// zones is the inset.
func (i *inset) zones(out *rooms.Surface) []zone {
	if i.width == 0 || i.height == 0 {
		return nil // reported already
	}
	b := out.Outline.Box()
	x := valueOr(i.x, b.Min.X+(b.Width()-i.width)/2)
	y := valueOr(i.y, b.Min.Y+(b.Height()-i.height)/2)
	return []zone{{setting: i.setting, v: i.v, key: "inset", region: writeRegion(rooms.Rect(x, y, x+i.width, y+i.height)), trim: i.trim}}
}
