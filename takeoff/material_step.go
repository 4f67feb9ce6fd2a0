package takeoff

import (
	"cmp"
	"fmt"
	"slices"
)

// StepNeed is a product that a step of a recipe takes on a surface.
type StepNeed struct {
	Surface, Product string // keys
	Step             string // what the recipe calls the step
}

// stepsOn are the steps of recipes that name a product for a surface.
func (t *taker) stepsOn(s *takenSurface) []StepNeed {
	if t.own == nil {
		t.own = map[string][]StepNeed{}
		for _, n := range t.in.Steps {
			t.own[n.Surface] = append(t.own[n.Surface], n)
		}
	}
	return t.own[s.key]
}

// productFor is the product of a kind that a surface takes: the one a recipe's
// step names for it, else the first of the catalogue.
func (t *taker) productFor(kind string, s *takenSurface) *Product {
	for _, n := range t.stepsOn(s) {
		if p := t.products[n.Product]; p != nil && p.Kind == kind {
			return p
		}
	}
	return t.in.Catalogue.Of(kind)
}

// needSteps takes what the steps of a recipe name for a surface and its own
// preparation does not take: so much to the m² as the product's sheet says.
func (t *taker) needSteps(s *takenSurface) {
	for _, n := range t.stepsOn(s) {
		p := t.products[n.Product]
		if p == nil || slices.ContainsFunc(t.out.Needs, func(o Need) bool { return o.Product == n.Product && o.Surface == s.key }) {
			continue
		}
		rate, from := p.Sheet.PerM2, "data sheet"
		if rate <= 0 && p.Unit == "m2" {
			rate, from = 1, "area of the surface"
		}
		if rate <= 0 {
			t.find(Finding{Rule: "no quantity", Severity: Warn, Where: s.key, Source: "the firm's own recipe",
				Message: fmt.Sprintf("the step %q takes %s, and its sheet does not say how much to the m²: none is counted; give per_m2", n.Step, cmp.Or(p.Name, p.Key))})
			continue
		}
		t.need(p, s, s.m2()*rate, fmt.Sprintf("%s %s/m² for %s (%s)", trimmed(rate, 3), p.Unit, n.Step, from))
	}
}
