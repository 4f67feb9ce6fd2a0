package jobfile

import (
	"os"
	"strings"
	"testing"

	"potlife/takeoff"
)

// A wait of 0 is none and comes back as it was written; how waits grow in the
// cold is the product's or the firm's choice, and figures of another rule than the
// chosen one are refused.
func TestWaitsAndTheirRules(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, sheet, limits, refused string
		want                         takeoff.DataSheet
	}{
		{"at once", "tile_after: 0min, walk_after: 0min", "", "", takeoff.DataSheet{TileAfter: -1, WalkAfter: -1}},
		{"left out", "walk_after: 1min", "", "", takeoff.DataSheet{WalkAfter: 1}},
		{"doubling", "cure_rule: doubling, doubles_every: 18 °F", "", "", takeoff.DataSheet{Curing: takeoff.Curing{Rule: takeoff.RuleDoubling, DoublesEvery: 10}}},
		{"maturity", "cure_rule: maturity, datum: -10 °C", "", "", takeoff.DataSheet{Curing: takeoff.Curing{Rule: takeoff.RuleMaturity, Datum: -10}}},
		{"energy", "activation_energy: 33.5", "", "", takeoff.DataSheet{Curing: takeoff.Curing{ActivationKJ: 33.5}}},
		{"step of another rule", "cure_rule: none, doubles_every: 8", "", "doubles_every belongs to another rule", takeoff.DataSheet{}},
		{"datum at the reference", "cure_rule: maturity, datum: 20 °C", "", "nothing ripens", takeoff.DataSheet{}},
		{"unknown rule", "cure_rule: guess", "", `unknown word "guess"`, takeoff.DataSheet{}},
		{"the firm's", "{}", "cure_rule: doubling, datum: 1", "datum belongs to another rule", takeoff.DataSheet{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(string(good), "price: 23.40}", "price: 23.40, sheet: {"+strings.Trim(c.sheet, "{}")+"}}", 1)
			if c.limits != "" {
				text = strings.Replace(text, "  crews:\n", "  limits: {"+c.limits+"}\n  crews:\n", 1)
			}
			f, problems := Parse("good.yaml", []byte(text))
			if c.refused != "" {
				if len(problems) != 1 || !strings.Contains(problems.Error(), c.refused) || problems[0].Line == 0 {
					t.Fatalf("%v, expected %q at its line", problems, c.refused)
				}
				return
			}
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			out, err := Write(f)
			if err != nil {
				t.Fatal(err)
			}
			again, problems := Parse("again.yaml", out)
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			for _, g := range []*File{f, again} {
				if got := g.Firm.Catalogue.Products[0].Sheet; got != c.want {
					t.Errorf("sheet %+v, want %+v", got, c.want)
				}
			}
		})
	}
}
