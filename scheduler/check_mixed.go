package scheduler

import (
	"slices"

	"potlife/takeoff"
)

// part is what one activity takes from a mix.
type part struct {
	mix *Mix
	kg  float64
}

// mixed: what is mixed as work goes on serves work of the mix's crew at one site, while
// it may be used; work that is planned takes as much grout and leveller from its mixes
// as it needs, and from each no longer than that may be used.
func (c *checker) mixed() {
	parts := map[string]map[string][]part{} // by activity, product
	for i := range c.plan.Mixes {
		m := &c.plan.Mixes[i]
		if len(m.Patches) > 0 {
			continue
		}
		own := m.Kg - m.Thrown
		for _, w := range m.Also {
			own -= w.Kg
		}
		for _, w := range append([]MixWork{{m.Activity, own}}, m.Also...) {
			a := c.act[w.Activity]
			if a == nil {
				c.breach("mix %s serves %q, which is no activity", m.ID, w.Activity)
				continue
			}
			first := c.act[m.Activity]
			if a.Crew != m.Crew || first == nil || a.Site != first.Site || m.Start > a.Finish || m.UseBy >= 0 && m.UseBy < a.Start {
				c.breach("mix %s, from minute %d to %d, does not serve %s", m.ID, m.Start, m.UseBy, a.ID)
			}
			if parts[a.ID] == nil {
				parts[a.ID] = map[string][]part{}
			}
			parts[a.ID][m.Product] = append(parts[a.ID][m.Product], part{m, w.Kg})
		}
	}
	kinds := map[string]string{}
	for _, p := range c.plan.Firm.Catalogue.Products {
		kinds[p.Key] = p.Kind
	}
	for i := range c.plan.Activities {
		a := &c.plan.Activities[i]
		for _, u := range a.Products {
			if k := kinds[u.Product]; a.State == "planned" && (k == takeoff.KindGrout || k == takeoff.KindLeveller) && u.Quantity > 0 {
				c.fromMixes(a, u, parts[a.ID][u.Product])
			}
		}
	}
}

// fromMixes holds what an activity takes of a product to its mixes. A tenth of a kg is
// the least that is weighed: less, and what is rounded by it, is not looked at.
func (c *checker) fromMixes(a *Activity, u Use, list []part) {
	slices.SortStableFunc(list, func(x, y part) int { return x.mix.Start - y.mix.Start })
	kg := 0.0
	for i, p := range list {
		kg += p.kg
		if i > 0 && p.kg > 0.2 && list[i-1].kg > 0.2 && list[i-1].mix.UseBy >= 0 && p.mix.Start > list[i-1].mix.UseBy {
			c.breach("%s: between mixes %s and %s none of %s can be used", a.ID, list[i-1].mix.ID, p.mix.ID, u.Product)
		}
	}
	if kg < u.Quantity*0.99-0.1*float64(len(list)) || len(list) == 0 {
		c.breach("%s takes %.1f kg of %s, %.1f kg are mixed for it", a.ID, u.Quantity, u.Product, kg)
	}
}
