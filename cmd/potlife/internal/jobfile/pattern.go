package jobfile

import (
	"fmt"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// patternForm is the name of a pattern; whether there is one of that name is
// known when the firm's own are.
var patternForm = single(func(s string) (string, error) {
	name := strings.Join(strings.Fields(strings.ReplaceAll(strings.ToLower(s), ", ", ",")), " ")
	if name == "" || len(name) > 80 {
		return "", fmt.Errorf("%q is no name of a pattern; expected one such as straight or offset 1/3", s)
	}
	return name, nil
}, func(s string) any { return s }, ordered{{"type", "string"}})

// pattern checks that there is the pattern and that it can be laid with the
// zone's tiles.
func (r *reader) pattern(at place, z rooms.Zone) {
	r.later = append(r.later, func(c *catalog) {
		if c.firm == nil {
			return
		}
		p, err := takeoff.PatternNamed(z.Pattern, c.patterns)
		if err != nil {
			r.failf(at, patternHint(z.Pattern, c.patterns), "there is no pattern %q", z.Pattern)
			return
		}
		tiles := make([]takeoff.Tile, 0, 1+len(z.Tiles))
		for _, key := range append([]string{z.Tile}, z.Tiles...) {
			t, ok := c.tiles[key]
			if !ok || len(t.Shape) == 0 {
				return // reported already
			}
			tiles = append(tiles, *t)
		}
		if box := tiles[0].Shape.Box(); z.Joint >= min(box.Width(), box.Height()) {
			return // reported at the joint
		}
		if err := p.Check(tiles, z.Joint, z.Sideways, z.Turn); err != nil {
			r.fail(at, err.Error(), "a pattern that fits tile and joint, and more_tiles where it takes several sizes")
		}
	})
}

func patternHint(name string, own map[string]takeoff.Pattern) string {
	known := append(takeoff.PatternNames(), sortedKeys(own)...)
	if near := nearest(name, known); near != "" {
		return fmt.Sprintf("%q, or another of %s", near, list(known))
	}
	return "one of " + list(known) + ", or an offset of your own such as \"offset 0,1/4,1/2\" (in quotes: between { and } a comma ends a value)"
}

// patternObject is a pattern of the firm's own: tiles of a cell that repeats by
// two translations, all in measures of the tile.
var patternObject = object[takeoff.Pattern]{
	name: "pattern", doc: "a pattern of the firm's own: a cell of tiles that repeats by u and v, in sums of W, H (width and height of the tile), W2, H2 (of the second) … and J (the joint)",
	fields: []field[takeoff.Pattern]{
		keep("name", "its name, small letters", patternForm, func(p *takeoff.Pattern) *string { return &p.Name }).needed(),
		keep("cell", "the tiles of the cell", listOf(of(&memberObject)), func(p *takeoff.Pattern) *[]takeoff.Member { return &p.Members }).needed(),
		keep("u", "to the next tile or cell of the course: [W + J, 0]", sumsForm, func(p *takeoff.Pattern) *[2]string { return &p.U }).needed(),
		keep("v", "to the next course: [0, H + J]", sumsForm, func(p *takeoff.Pattern) *[2]string { return &p.V }).needed(),
		keep("courses", "how many courses v goes up (1 if left out)", whole(1, 100, "courses"), func(p *takeoff.Pattern) *int { return &p.Courses }),
		keep("turn", "the pattern's own direction in degrees", whole(-360, 360, "degrees"), func(p *takeoff.Pattern) *int { return &p.Turn }),
		keep("tiles", "how many tile products it takes (1 if left out)", whole(1, 20, "tiles"), func(p *takeoff.Pattern) *int { return &p.Tiles }),
	},
	check: func(r *reader, v *value, p *takeoff.Pattern) {
		most := max(1, p.Tiles)
		for i, m := range p.Members {
			if m.Tile >= most {
				r.failf(v.at("cell"), fmt.Sprintf("tile 1 to %d, or more in tiles", most), "tile %d of the cell is of product %d, and the pattern takes %d", i+1, m.Tile+1, most)
			}
		}
		if in := v.get("cell"); in != nil && len(p.Members) == 0 {
			r.fail(in.place, "the cell holds no tile", "at least one")
		}
	},
}

var memberObject = object[takeoff.Member]{
	name: "member", doc: "a tile of a pattern's cell",
	start: func() takeoff.Member { return takeoff.Member{X: "0", Y: "0"} },
	fields: []field[takeoff.Member]{
		keep("tile", "which product: 1 the zone's tile (if left out), 2 the first of its more_tiles …", fromOne(whole(1, 20, "tiles")), func(m *takeoff.Member) *int { return &m.Tile }),
		keep("x", "lower left corner of the turned tile's box: a sum such as W + J", sumForm, func(m *takeoff.Member) *string { return &m.X }),
		keep("y", "the same upwards", sumForm, func(m *takeoff.Member) *string { return &m.Y }),
		keep("turn", "degrees counter-clockwise", whole(-360, 360, "degrees"), func(m *takeoff.Member) *int { return &m.Turn }),
		keep("course", "course within the cell, from 0", whole(0, 100, "courses"), func(m *takeoff.Member) *int { return &m.Course }),
	},
}

// fromOne counts from 1 in the file and from 0 in the domain.
func fromOne(f form[int]) form[int] {
	return mapped(f, func(n int) int { return n - 1 }, func(n int) int { return n + 1 })
}

// sumForm is a sum of measures; what it means is checked with the tiles.
var sumForm = single(func(s string) (string, error) {
	if s == "" || len(s) > 200 || strings.Trim(s, "0123456789./+- WHJ") != "" {
		return "", fmt.Errorf("%q is no sum of measures; expected such as W + J, 1/2 W + 1/2 J, or 0", s)
	}
	return s, nil
}, func(s string) any { return s }, ordered{{"type", []any{"string", "number"}}})

// sumsForm is [x, y] in sums.
var sumsForm = form[[2]string]{
	read: func(r *reader, v *value) ([2]string, bool) {
		if v.kind != sequence || len(v.items) != 2 {
			r.fail(v.place, "this is no translation", "[x, y], such as [W + J, 0]")
			return [2]string{}, false
		}
		x, ok := sumForm.read(r, v.items[0])
		y, ok2 := sumForm.read(r, v.items[1])
		return [2]string{x, y}, ok && ok2
	},
	write: func(s [2]string) any { return []any{s[0], s[1]} },
	schema: func(s *schemas) any {
		return ordered{{"type", "array"}, {"items", sumForm.schema(s)}, {"minItems", 2}, {"maxItems", 2}}
	},
}
