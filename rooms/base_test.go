package rooms

import "testing"

// The figures of the pages the rules come from: calcium sulfate 50 mm 60 days,
// 60 mm 80, 75 mm 110; sand and cement 75 mm 100 at the longest.
func TestBaseDries(t *testing.T) {
	laid := Date{Year: 2026, Month: 3, Day: 2}
	for _, c := range []struct {
		b    Base
		days int
	}{
		{Base{Kind: CalciumSulfate, Depth: 40 * Millimetre}, 40}, {Base{Kind: CalciumSulfate, Depth: 50 * Millimetre}, 60},
		{Base{Kind: CalciumSulfate, Depth: 60 * Millimetre}, 80}, {Base{Kind: CalciumSulfate, Depth: 75 * Millimetre}, 110},
		{Base{Kind: CementScreed, Depth: 20 * Millimetre}, 28}, {Base{Kind: CementScreed, Depth: 50 * Millimetre}, 50},
		{Base{Kind: CementScreed, Depth: 75 * Millimetre}, 100}, {Base{Kind: Concrete, Depth: 200 * Millimetre}, 42},
		{Base{Kind: Blockwork}, 28}, {Base{Kind: NewRender}, 14}, {Base{Kind: CementScreed, Depth: 75 * Millimetre, DryDays: 7}, 7},
	} {
		c.b.Laid = laid
		if got, rule := c.b.Days(); got != c.days || rule == "" {
			t.Errorf("%+v dries %d days by %q, want %d", c.b, got, rule, c.days)
		}
		if got := c.b.Ready(); got != laid.AddDays(c.days) {
			t.Errorf("%+v is ready on %s", c.b, got)
		}
		c.b.Tested = laid.AddDays(5)
		if got := c.b.Ready(); got != laid.AddDays(5) {
			t.Errorf("tested on %s, ready on %s", c.b.Tested, got)
		}
	}
}
