package jobfile

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// Each kind of measure through the job file: what the surface becomes, and which
// measure is to be taken again. The wall is 2400 × 2000 mm; 3-4-5 and the other
// diagonals by Pythagoras: 900² + 1200² = 1500², 2400² + 2000² = 3124.1².
func TestMeasures(t *testing.T) {
	const foot, square = "2400 2400", "3-4-5 with legs of 900 mm and 1200 mm at the bottom edge"
	for _, c := range []struct {
		name, said string
		widths     string // at the foot and at the head, mm
		again      string // what is to be taken again, and what the others give
	}{
		{"one reading moves the side", "readings: [{edge: right, at: 700, off: -12}]", "2388 2388", ""},
		{"several readings make it lean", "readings: [{edge: right, at: 0, off: -2}, {edge: right, at: 2000, off: -10}]", "2398 2390", ""},
		{"two readings of one place", "readings: [{edge: right, at: 700, off: -12}, {edge: right, at: 704, off: -2}]", "2398 2398", "readings on the right edge near 704 mm"},
		{"the last layer counts", "layer: stud, readings: [{edge: right, off: -12}, {edge: right, off: -30, layer: board}]", "2370 2370", ""},
		{"widths at heights", "measures: [{kind: width, at: 0, value: 2398}, {kind: width, at: 2000, value: 2389}]", "2398 2389", ""},
		{"a width among readings", "readings: [{edge: right, at: 0, off: 0}], measures: [{kind: width, at: 1000, value: 2390}]", foot, "width at height 1000 mm → 2400 mm"},
		{"three widths, one off", "readings: [{edge: left, off: 0}], measures: [{kind: width, at: 0, value: 2400}, {kind: width, at: 1000, value: 2410}, {kind: width, at: 2000, value: 2402}]", foot, "width at height 1000 mm → 2400 mm"},
		{"a width twice", "measures: [{kind: width, at: 0, value: 2380}, {kind: width, at: 4, value: 2400}]", foot, "width at height 0 mm → 2400 mm"},
		{"heights", "measures: [{kind: height, at: 0, value: 2000}, {kind: height, at: 2400, value: 2000}, {kind: height, at: 1200, value: 1990}]", foot, ""},
		{"a height among readings", "readings: [{edge: top, off: -5}], measures: [{kind: height, at: 300, value: 2000}]", foot, "height at 300 mm from the left → 1995 mm"},
		{"diagonals that fit", "measures: [{kind: diagonal, value: 3124}, {kind: diagonal 2-4, value: 3125}]", foot, ""},
		{"a diagonal that does not", "measures: [{kind: diagonal, value: 3124}, {kind: diagonal 2-4, value: 3140}]", foot, "diagonal 2-4 → 3124 mm"},
		{"a length that fits", "readings: [{edge: top, off: -10}], measures: [{kind: length, edge: right, value: 1990}]", foot, ""},
		{"a length that does not", "measures: [{kind: length, edge: 0, value: 2420}]", foot, "length of the bottom edge → 2400 mm"},
		{"plumb as read", "readings: [{edge: right, at: 0, off: -2}, {edge: right, at: 2000, off: -10}], measures: [{kind: plumb, edge: right, value: -8}, {kind: plumb, edge: left, value: 0}]", "2398 2390", ""},
		{"plumb the other way", "readings: [{edge: right, at: 0, off: -2}, {edge: right, at: 2000, off: -10}], measures: [{kind: plumb, edge: right, value: 8}]", "2398 2390", "plumb at the right edge → -8 mm"},
		{"a left side leaning outwards", "readings: [{edge: left, at: 0, off: 9}, {edge: left, at: 2000, off: 1}], measures: [{kind: plumb, edge: left, value: 8}]", "2401 2409", ""},
		{"3-4-5", "measures: [{kind: 3-4-5, edge: bottom, at: 1200, leg: 900, value: 1500}]", foot, ""},
		{"3-4-5 out of square", "measures: [{kind: 3-4-5, edge: bottom, at: 900, leg: 1200, value: 1512}]", foot, square + " → 1500 mm"},
	} {
		file := "job: {key: j, name: J, start: 2026-12-07, set: {tile: a, mortar: b, grout: c, joint: 2}, sites: [{key: s, rooms: [{key: bath, surfaces: [{key: w, kind: wall, width: 2400, height: 2000, deduct: {all: 0}, " + c.said + "}]}]}]}"
		f, problems := Parse("x", []byte(file))
		if len(problems) > 0 {
			t.Errorf("%s: %v", c.name, problems)
			continue
		}
		s := f.Jobs[0].Sites[0].Rooms[0].Surfaces[0]
		got, err := s.Correct()
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		corner := func(edge int) rooms.Length { // x of the corner where the edge begins
			for i, e := range got.Edge {
				if e == edge {
					return got.Outline[i].X
				}
			}
			return 0
		}
		widths := rooms.FormatMM(corner(1)-corner(0), 1, rooms.Nearest) + " " + rooms.FormatMM(corner(2)-corner(3), 1, rooms.Nearest)
		if widths != c.widths {
			t.Errorf("%s: %s wide at foot and head, want %s", c.name, widths, c.widths)
		}
		list, err := s.Contradictions(0)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		var again []string
		for _, k := range list {
			again = append(again, k.What+" → "+rooms.FormatMetric(k.Computed, rooms.Nearest))
		}
		if said := strings.Join(again, ", "); c.again == "" && said != "" || !strings.HasPrefix(said, c.again) || len(again) > 1 {
			t.Errorf("%s: take again %q, want %q", c.name, said, c.again)
		}
	}
}

func TestBadMeasures(t *testing.T) {
	for said, want := range map[string]string{
		"measures: [{kind: width, at: 3000, value: 2400}]":         "width at height 3000 mm lies beyond the surface",
		"measures: [{kind: plumb, edge: bottom, value: 2}]":        "a plumb line is of an upright edge",
		"measures: [{kind: length, edge: 7, value: 2}]":            "there is none with the number 7",
		"measures: [{kind: length, edge: nowhere, value: 2}]":      `"nowhere" is no side`,
		"measures: [{kind: 3-4-5, edge: 0, at: 900, value: 1500}]": "a 3-4-5 without its legs",
		"measures: [{kind: width, at: 9, leg: 900, value: 1500}]":  "a width has no leg",
		"measures: [{kind: diagonal, value: 0}]":                   "a diagonal of 0 mm",
		"measures: [{kind: girth, value: 2}]":                      `unknown word "girth"`,
		"readings: [{edge: right, off: -2500}]":                    "after readings and build-up",
		"deduct: {left: 1300, right: 1300}":                        "after readings and build-up",
	} {
		file := "job: {key: j, name: J, start: 2026-12-07, set: {tile: a, mortar: b, grout: c, joint: 2}, sites: [{key: s, rooms: [{key: bath, surfaces: [{key: w, kind: wall, width: 2400, height: 2000, " + said + "}]}]}]}"
		_, problems := Parse("x", []byte(file))
		if len(problems) != 1 || !strings.Contains(problems[0].String(), want) {
			t.Errorf("%s: %v, want one problem with %q", said, problems, want)
		}
	}
}
