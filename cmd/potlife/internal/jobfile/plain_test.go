package jobfile

import (
	"math"
	"os"
	"strings"
	"testing"
)

// One slip gives one message: what follows from it is not said beside it, and the
// message says what is wrong in words that help.
func TestOneSlipOneMessage(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ old, now, want string }{
		{"07:00-12:00, 12:30-16:00", "7-12", `"7-12" is no span of hours; expected such as 07:00-12:00`},
		{"price: 23.40", `price: "23,40"`, `"23,40" has a comma; expected a decimal point, as in 24.90`},
		{"holds: 25 kg", "holds: 25", `"25" has no unit; expected a number and a unit: kg`},
		{"width: 2400", "width: 2,4 m", `character 2 is ','; expected a point before decimals`},
		{"width: 2400", "prepare: [level]\n              leveller_depth: 10 kg\n              width: 2400", `"10 kg" is no length`},
		{"due: 2026-12-18", "due: 2026-12-18\n          holds: [{key: a, why: b, before: set, lasts: 4 bananas}]", `"4 bananas" is no span of time`},
	} {
		text := strings.Replace(string(good), c.old, c.now, 1)
		text = strings.Replace(text, "  products:\n", "  products:\n    - {key: lev, name: Level, supplier: yard, kind: leveller, holds: 25 kg, price: 1}\n", 1)
		if !strings.Contains(text, c.now) {
			t.Fatalf("%q is not in the good file", c.old)
		}
		if _, problems := Parse("x.yaml", []byte(text)); len(problems) != 1 || !strings.Contains(problems[0].String(), c.want) {
			t.Errorf("%s: %v, want %s alone", c.now, problems, c.want)
		}
	}
}

// What a bar holds is written as lengths are; a number alone, or what is no length, is
// refused.
func TestBarsHoldLengths(t *testing.T) {
	for text, want := range map[string]float64{`8' 2 1/2"`: 2.5019, `98 1/2"`: 2.5019, "8 ft 2 in": 2.4892, "8 ft": 2.4384, "250 cm": 2.5, "70 1/2": 0, "8 fet": 0, `0"`: 0} {
		unit, size, problem := parseContent(text)
		if (problem == "") != (want > 0) || want > 0 && (unit != "m" || math.Abs(size-want) > 1e-9) {
			t.Errorf("%s: %v %s, %s; want %v m", text, size, unit, problem, want)
		}
	}
}

// A file that is no text in UTF-8 is said once, with the place where it begins
// to be something else.
func TestNoText(t *testing.T) {
	for text, want := range map[string]string{
		"\xff\xfef\x00i\x00":                 "x:1:1: the file is UTF-16; expected a text file saved as UTF-8",
		"firm:\n\x00\x01\n\xff\n\xff\n":      "x:2:1: the file is no text; expected a text file saved as UTF-8",
		"firm:\n  name: \u00e4H\xfcgel\n":    "x:2:11: a character here is not UTF-8; expected a text file saved as UTF-8",
		"# \xfc\n# \xfc\n# \xfc\nfirm: {}\n": "x:1:3: a character here, and in lines below, is not UTF-8; expected a text file saved as UTF-8",
	} {
		if _, problems := Parse("x", []byte(text)); len(problems) != 1 || problems[0].String() != want {
			t.Errorf("%q: %v, want %s", text, problems, want)
		}
	}
}
