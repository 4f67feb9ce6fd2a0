package scheduler

import (
	"math"

	"potlife/takeoff"
)

// defaultDoubling is the step in °C of the doubling rule: of the two that are
// printed, 10 °C and 8 °C, the one that waits longer.
const defaultDoubling = 8

// gasConstant in J/(mol·K).
const gasConstant = 8.314

// Rule is how fast a cure runs at a temperature; the zero value is the
// equivalent age with ActivationQ.
type Rule struct {
	kind  string
	value float64 // Q in kelvin, °C of doubling, or the datum in °C
}

// RuleOf is the rule a product's sheet chooses, else the firm's, else equivalent
// age; a figure that is not given takes the default named at it.
func RuleOf(s *takeoff.DataSheet, l *Limits) Rule {
	r := s.Curing
	if r == (takeoff.Curing{}) {
		r = l.Curing
	}
	switch r.Rule {
	case takeoff.RuleNone:
		return Rule{kind: r.Rule}
	case takeoff.RuleDoubling:
		if r.DoublesEvery <= 0 {
			r.DoublesEvery = defaultDoubling
		}
		return Rule{r.Rule, r.DoublesEvery}
	case takeoff.RuleMaturity:
		return Rule{r.Rule, r.Datum}
	}
	if r.ActivationKJ > 0 {
		return Rule{value: r.ActivationKJ * 1000 / gasConstant}
	}
	return Rule{}
}

// Rate is how fast a cure runs at celsius against reference: 1 at the reference,
// above 1 where it is warmer.
func (r Rule) Rate(celsius, reference float64) float64 {
	switch r.kind {
	case takeoff.RuleNone:
		return 1
	case takeoff.RuleDoubling:
		return DoublingRate(celsius, reference, r.value)
	case takeoff.RuleMaturity:
		return NurseSaulRate(celsius, reference, r.value)
	}
	q := r.value
	if q == 0 {
		q = ActivationQ
	}
	return ArrheniusRate(celsius, reference, q)
}

// Cure is a sheet's wait with what lengthens it.
type Cure struct {
	Minutes   int
	Reference float64 // °C at which the minutes hold; 0 counts as 20 °C
	Least     float64 // °C below which the product does not cure; 0: not given
	Rule      Rule
}

// CureOf is a wait of a product by its sheet.
func CureOf(minutes int, s *takeoff.DataSheet, l *Limits) Cure {
	return Cure{minutes, s.Reference, s.MinCelsius, RuleOf(s, l)}
}

// rate is how much of a minute counts at celsius: never more than one, so that a
// wait is not shortened, and none at or below freezing or below the lowest
// temperature of the product, where a cure may stop for good.
func (c Cure) rate(celsius float64) float64 {
	if celsius <= 0 || c.Least != 0 && celsius < c.Least {
		return 0
	}
	reference := c.Reference
	if reference == 0 {
		reference = defaultReference
	}
	if celsius >= reference {
		return 1
	}
	return min(1, c.Rule.Rate(celsius, reference))
}

// At is how long to wait in a room at celsius, rounded up, and never less than
// the sheet says. Where nothing cures it reports false.
func (c Cure) At(celsius float64) (int, bool) { return c.Over([]Spell{{Celsius: celsius}}) }

// Over is At for a room whose temperature changes: spells follow one another from
// the start of the cure, the last going on for ever.
func (c Cure) Over(record []Spell) (int, bool) {
	left, waited := float64(c.Minutes), 0.0
	if c.Minutes <= 0 {
		return 0, true
	}
	for i, s := range record {
		rate := c.rate(s.Celsius)
		gain, last := float64(s.Hours*60*rate), i == len(record)-1
		if rate > 0 && (last || gain >= left) {
			// Exp differs in its last bits between processors: to a millionth of a
			// minute before rounding up.
			return int(math.Ceil(math.Round((waited+left/rate)*1e6)/1e6 - 1e-6)), true
		}
		left -= gain
		waited += s.Hours * 60
	}
	return c.Minutes, len(record) == 0
}
