package takeoff

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// step is a translation along one axis.
var right, up = [2]string{"W+J", "0"}, [2]string{"0", "H+J"}

// shipped are the patterns that need no figures of their own.
var shipped = map[string]Pattern{
	"straight": {U: right, V: up, Members: []Member{{X: "0", Y: "0"}}},
	"diagonal": {U: right, V: up, Turn: 45, Members: []Member{{X: "0", Y: "0"}}},
	// Each lying tile ends at the side of a standing one, a step further up.
	"herringbone": {U: [2]string{"H+J", "H+J"}, V: [2]string{"-W-J", "W+J"}, Members: []Member{
		{X: "0", Y: "0"}, {X: "W+J", Y: "H-W", Turn: 90},
	}},
	// Pairs of tiles in place of single ones.
	"double herringbone": {U: [2]string{"2H+2J", "2H+2J"}, V: [2]string{"-W-J", "W+J"}, Members: []Member{
		{X: "0", Y: "0"}, {X: "0", Y: "H+J"},
		{X: "W+J", Y: "2H+J-W", Turn: 90}, {X: "W+H+2J", Y: "2H+J-W", Turn: 90},
	}},
	// Two lying, two standing, changing places in the next row.
	"basket weave": {U: [2]string{"2W+2J", "0"}, V: [2]string{"W+J", "W+J"}, Members: []Member{
		{X: "0", Y: "0"}, {X: "0", Y: "H+J"},
		{X: "W+J", Y: "0", Turn: 90}, {X: "W+H+2J", Y: "0", Turn: 90},
	}},
	// A small square turns in the corner of each large one.
	"pinwheel": {Tiles: 2, U: [2]string{"W+J", "W2+J"}, V: [2]string{"-W2-J", "W+J"}, Members: []Member{
		{X: "0", Y: "0"}, {Tile: 1, X: "W+J", Y: "0"},
	}},
	// Upright hexagons: two sides stand, the next course lies half a tile over.
	"hexagon": {U: right, V: [2]string{"1/2W+1/2J", "0.8660254037844386W+0.8660254037844386J"}, Members: []Member{{X: "0", Y: "0"}}},
	// Octagons in a straight pattern, a square on its corner between each four.
	"octagon and dot": {Tiles: 2, U: right, V: [2]string{"0", "W+J"}, Members: []Member{
		{X: "0", Y: "0"}, {Tile: 1, X: "W+1/2J-0.7071067811865476W2", Y: "W+1/2J-0.7071067811865476W2", Turn: 45},
	}},
	// Sheets are laid like tiles; the joint between sheets is that of the chips.
	"mosaic sheets": {U: right, V: up, Members: []Member{{X: "0", Y: "0"}}},
	// A large tile beside two of half its height, the next course moved on by the
	// smaller width.
	"modular two sizes": {Tiles: 2, U: [2]string{"W+W2+2J", "0"}, V: [2]string{"W2+J", "H+J"}, Members: []Member{
		{X: "0", Y: "0"}, {Tile: 1, X: "W+J", Y: "0"}, {Tile: 1, X: "W+J", Y: "H2+J"},
	}},
	// A square of two modules, a tile of two by one above it and another standing
	// beside it, and a square of one module in the corner.
	"modular three sizes": {Tiles: 3, U: [2]string{"W+W3+2J", "0"}, V: [2]string{"0", "H+H2+2J"}, Members: []Member{
		{X: "0", Y: "0"}, {Tile: 1, X: "0", Y: "H+J"},
		{Tile: 1, X: "W+J", Y: "0", Turn: 90}, {Tile: 2, X: "W+J", Y: "W2+J"},
	}},
	// Two columns of two tiles each, the joints between them at different heights,
	// the next course moved on by the smaller width.
	"modular four sizes": {Tiles: 4, U: [2]string{"W+W4+2J", "0"}, V: [2]string{"W4+J", "H+H2+2J"}, Members: []Member{
		{X: "0", Y: "0"}, {Tile: 1, X: "0", Y: "H+J"},
		{Tile: 2, X: "W+J", Y: "0"}, {Tile: 3, X: "W+J", Y: "H3+J"},
	}},
}

// variants are names the trade also uses.
var variants = map[string]string{
	"stacked": "straight", "stack bond": "straight", "running bond": "offset 1/2", "brick": "offset 1/2",
	"third bond": "offset 1/3", "octagon with dot": "octagon and dot", "mosaic": "mosaic sheets", "hopscotch": "pinwheel",
}

// PatternNames lists the patterns that ship, in order of the alphabet; beside
// them "offset" takes a fraction or a repeating list of fractions.
func PatternNames() []string {
	names := []string{"offset 1/2", "offset 1/3", "offset 0,1/3", "herringbone 45", "double herringbone 45"}
	for name := range shipped {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// PatternNamed finds a pattern: a job's own first, then what ships. An offset
// pattern is "offset 1/3" (each course a third further: 0, 1/3, 2/3) or
// "offset 0,1/3" (the courses' offsets as they repeat). A number of degrees
// after a name turns the pattern: "herringbone 45".
func PatternNamed(name string, own map[string]Pattern) (Pattern, error) {
	name = strings.TrimSpace(name)
	if p, ok := own[name]; ok {
		p.Name = name
		return p, nil
	}
	if name == "" {
		name = "straight"
	}
	if v, ok := variants[name]; ok {
		p, err := PatternNamed(v, nil)
		p.Name = name
		return p, err
	}
	if p, ok := shipped[name]; ok {
		p.Name = name
		return p, nil
	}
	if list, ok := strings.CutPrefix(name, "offset"); ok {
		return offsetPattern(name, strings.TrimSpace(list))
	}
	if base, deg, ok := cutLast(name, " "); ok {
		if d, err := strconv.Atoi(deg); err == nil {
			p, err := PatternNamed(base, own)
			p.Name, p.Turn = name, p.Turn+d
			return p, err
		}
	}
	return Pattern{}, fmt.Errorf("there is no pattern %q; there are %s", name, strings.Join(PatternNames(), ", "))
}

// PatternFamily is the pattern that a name stands for, without its turn and its
// offsets: "offset" for "running bond", "herringbone" for "herringbone 45". A
// pattern of the firm's own is its own family.
func PatternFamily(name string) string {
	name = strings.TrimSpace(name)
	if base, deg, ok := cutLast(name, " "); ok {
		if _, err := strconv.Atoi(deg); err == nil {
			name = base
		}
	}
	if v, ok := variants[name]; ok {
		name = v
	}
	switch {
	case name == "":
		return "straight"
	case strings.HasPrefix(name, "offset"):
		return "offset"
	}
	return name
}

func cutLast(s, sep string) (before, after string, found bool) {
	if k := strings.LastIndex(s, sep); k >= 0 {
		return s[:k], s[k+len(sep):], true
	}
	return s, "", false
}

// fractionOf is a/b of a tile.
type fractionOf struct{ a, b int }

// offsetPattern makes a pattern of courses from a list of offsets.
func offsetPattern(name, list string) (Pattern, error) {
	var seq []fractionOf
	for _, s := range strings.Split(list, ",") {
		f, err := parseFraction(strings.TrimSpace(s))
		if err != nil {
			return Pattern{}, fmt.Errorf("pattern %q: %w", name, err)
		}
		seq = append(seq, f)
	}
	if len(seq) == 1 {
		f := seq[0]
		if f.a == 0 {
			return Pattern{}, fmt.Errorf("pattern %q: an offset of 0 is the straight pattern", name)
		}
		seq = seq[:0]
		for k := range f.b {
			seq = append(seq, fractionOf{k * f.a % f.b, f.b})
		}
	}
	if len(seq) > 64 {
		return Pattern{}, fmt.Errorf("pattern %q: it repeats after %d courses, at most 64 are taken", name, len(seq))
	}
	p := Pattern{Name: name, U: right, Courses: len(seq),
		V: [2]string{"0", fmt.Sprintf("%dH+%dJ", len(seq), len(seq))}}
	for k, f := range seq {
		x := fmt.Sprintf("%d/%dW+%d/%dJ", f.a, f.b, f.a, f.b)
		p.Members = append(p.Members, Member{X: x, Y: fmt.Sprintf("%dH+%dJ", k, k), Course: k})
	}
	return p, nil
}

// parseFraction reads "0", "1/3", "30%" or "0.25", below one, in lowest terms.
func parseFraction(s string) (fractionOf, error) {
	want := func() (fractionOf, error) {
		return fractionOf{}, fmt.Errorf("offset %q: expected a share of the tile below one, such as 1/2, 1/3, 30%% or 0.25", s)
	}
	a, b := 0, 1
	var err, err2 error
	switch over, under, stroke := strings.Cut(s, "/"); {
	case stroke:
		a, err = strconv.Atoi(strings.TrimSpace(over))
		b, err2 = strconv.Atoi(strings.TrimSpace(under))
	case strings.HasSuffix(s, "%"):
		a, err = strconv.Atoi(strings.TrimSpace(strings.TrimSuffix(s, "%")))
		b = 100
	case strings.HasPrefix(s, "0.") && len(s) <= 6:
		a, err = strconv.Atoi(s[2:])
		for range len(s) - 2 {
			b *= 10
		}
	default:
		a, err = strconv.Atoi(s)
	}
	if err != nil || err2 != nil || a < 0 || b < 1 || a >= b || b > 10000 {
		return want()
	}
	for g := 2; g <= a || g <= b && a == 0; g++ {
		for a%g == 0 && b%g == 0 {
			a, b = a/g, b/g
		}
		if a == 0 {
			b = 1
			break
		}
	}
	return fractionOf{a, b}, nil
}
