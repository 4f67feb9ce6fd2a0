package jobfile

import (
	"strings"
	"testing"
)

// A recipe that leaves out what the surfaces ask for is refused at the room that
// names it; what others do, or a step of another name does with the product of
// that kind, does not lack.
func TestRecipeLeavesNothingOut(t *testing.T) {
	const firm = `firm:
  key: f
  name: F
  zone: Europe/Berlin
  currency: EUR
  crews: [{key: one, setters: 1, hours: {monday-friday: 07:00-12:00}}]
  suppliers: [{key: s, name: S}]
  tiles: [{key: t, name: T, supplier: s, size: 198 x 198, thickness: 8, per_box: 25, material: ceramic, price: 1}]
  products:
    - {key: m, name: M, supplier: s, kind: mortar, holds: 25 kg, price: 1}
    - {key: g, name: G, supplier: s, kind: grout, holds: 5 kg, price: 1}
    - {key: z, name: Z, supplier: s, kind: sealant, holds: 310 ml, price: 1}
    - {key: mb, name: MB, supplier: s, kind: membrane, holds: 7 kg, price: 1}
    - {key: pr, name: PR, supplier: s, kind: primer, holds: 5 l, price: 1}
    - {key: lv, name: LV, supplier: s, kind: leveller, holds: 25 kg, price: 1}
    - {key: bd, name: BD, supplier: s, kind: board, holds: 1 m2, price: 1}
  lots: [{tile: t, lot: A, boxes: 99}]
  recipes: [{key: own, steps: [STEPS]OTHERS}]
job:
  key: j
  name: J
  start: 2027-01-11
  set: {tile: t, mortar: m, grout: g, sealant: z, joint: 2}
  sites:
    - key: s
      rooms:
        - {key: r, recipe: own, surfaces: [{key: a, kind: wall, width: 1000, height: 1000, SURFACE}]}
`
	for _, c := range []struct{ name, surface, steps, others, lacks string }{
		{"all done", "wet: true", "{kind: membrane}, {kind: set}, {kind: grout}, {kind: seal}", "", ""},
		{"no membrane", "wet: true", "{kind: prepare}, {kind: set}, {kind: grout}, {kind: seal}", "", `"membrane"`},
		{"membrane by others", "wet: true", "{kind: set}, {kind: grout}, {kind: seal}", ", by_others: [membrane]", ""},
		{"membrane under another name", "wet: true", "{kind: foil, product: mb, per_m2: 9}, {kind: set}, {kind: grout}, {kind: seal}", "", ""},
		{"no sealing", "difficulty: 1", "{kind: set}, {kind: grout}", "", `"seal"`},
		{"nothing to seal", "edges: {all: {fill: nothing}}", "{kind: set}, {kind: grout}", "", ""},
		{"no primer", "prepare: [prime]", "{kind: set}, {kind: grout}, {kind: seal}", "", `"prime"`},
		{"no primer under a leveller", "prepare: [level], leveller_depth: 3", "{kind: level}, {kind: set}, {kind: grout}, {kind: seal}", "", `"prime"`},
		{"no leveller", "prepare: [level], leveller_depth: 3", "{kind: prime}, {kind: set}, {kind: grout}, {kind: seal}", "", `"level"`},
		{"no board", "prepare: [board]", "{kind: set}, {kind: grout}, {kind: seal}", "", `"board"`},
		{"no flood test", "prepare: [membrane, flood test]", "{kind: membrane}, {kind: set}, {kind: grout}, {kind: seal}", "", `"flood test"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.NewReplacer("STEPS", c.steps, "OTHERS", c.others, "SURFACE", c.surface).Replace(firm)
			_, problems := Parse("own.yaml", []byte(text))
			switch {
			case c.lacks == "" && len(problems) > 0:
				t.Fatal(problems)
			case c.lacks == "":
			case len(problems) != 1 || !strings.Contains(problems.Error(), "no step does "+c.lacks) || problems[0].Line == 0:
				t.Fatalf("%v, expected one line that misses %s", problems, c.lacks)
			}
		})
	}
}
