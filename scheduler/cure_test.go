package scheduler

import (
	"math"
	"testing"

	"potlife/takeoff"
)

// The vectors of this file are worked out by hand from the formulas of ASTM
// C1074 (equivalent age after Arrhenius and after Nurse and Saul) and from the
// doubling rules as mortar makers print them; they test the arithmetic, they
// are no measurement of any mortar.

func TestHoursForADayOfCure(t *testing.T) {
	arrhenius := func(ref float64) func(float64) float64 {
		return func(c float64) float64 { return ArrheniusRate(c, ref, ActivationQ) }
	}
	saul := func(datum float64) func(float64) float64 {
		return func(c float64) float64 { return NurseSaulRate(c, 20, datum) }
	}
	doubling := func(step float64) func(float64) float64 {
		return func(c float64) float64 { return DoublingRate(c, 21, step) }
	}
	cases := []struct {
		name string
		rate func(float64) float64
		at   map[float64]float64 // °C → hours for 24 h at the reference
	}{
		{"Arrhenius, 20 °C", arrhenius(20), map[float64]float64{5: 60.21, 10: 43.83, 15: 32.27, 25: 18.03, 30: 13.67, 35: 10.46}},
		{"Arrhenius, 23 °C", arrhenius(23), map[float64]float64{5: 71.57, 10: 52.10, 15: 38.35, 20: 28.53, 30: 16.25}},
		{"Nurse-Saul, datum 0", saul(0), map[float64]float64{5: 96, 10: 48, 15: 32, 30: 16}},
		{"Nurse-Saul, datum -10", saul(-10), map[float64]float64{5: 48, 10: 36, 15: 28.8, 30: 18}},
		{"doubling each 10 °C", doubling(10), map[float64]float64{10: 51.45, 13: 41.79, 5: 72.75, 31: 12}},
		{"doubling each 8 °C", doubling(8), map[float64]float64{10: 62.25, 13: 48, 5: 96, 31: 10.09}},
	}
	for _, c := range cases {
		for celsius, want := range c.at {
			if got := 24 / c.rate(celsius); math.Abs(got-want) > 0.006 {
				t.Errorf("%s at %g °C: %.3f h, want %.2f", c.name, celsius, got, want)
			}
		}
	}
}

func TestEquivalentAgeOfTwoSpells(t *testing.T) {
	record := []Spell{{12, 15}, {12, 8}}
	cases := []struct {
		name string
		rate func(float64) float64
		want float64
	}{
		{"Arrhenius 20", func(c float64) float64 { return ArrheniusRate(c, 20, ActivationQ) }, 14.720},
		{"Nurse-Saul 0 at 20", func(c float64) float64 { return NurseSaulRate(c, 20, 0) }, 13.80},
		{"Nurse-Saul -10 at 20", func(c float64) float64 { return NurseSaulRate(c, 20, -10) }, 17.20},
		{"Arrhenius 23", func(c float64) float64 { return ArrheniusRate(c, 23, ActivationQ) }, 12.385},
		{"Nurse-Saul 0 at 23", func(c float64) float64 { return NurseSaulRate(c, 23, 0) }, 12.00},
		{"Nurse-Saul -10 at 23", func(c float64) float64 { return NurseSaulRate(c, 23, -10) }, 15.636},
	}
	for _, c := range cases {
		if got := EquivalentAge(record, c.rate); math.Abs(got-c.want) > 0.001 {
			t.Errorf("%s: %.4f h, want %.3f", c.name, got, c.want)
		}
	}
}

func TestCureNeverShortens(t *testing.T) {
	cases := []struct {
		minutes   int
		celsius   float64
		reference float64
		want      int
	}{
		{1440, 20, 20, 1440},
		{1440, 30, 20, 1440}, // warmer: the sheet's time stands
		{1440, 10, 20, 2630}, // 43.83 h
		{1440, 10, 0, 2630},  // no reference: 20 °C
		{1440, 15, 23, 2301}, // 38.35 h
		{0, 5, 20, 0},
	}
	for _, c := range cases {
		got, ok := Cure{Minutes: c.minutes, Reference: c.reference}.At(c.celsius)
		if !ok || got < c.want-1 || got > c.want+1 {
			t.Errorf("%d min at %g °C (sheet at %g): %d %v, want %d", c.minutes, c.celsius, c.reference, got, ok, c.want)
		}
	}
	if _, ok := (Cure{Minutes: 60, Reference: 20}).At(0); ok {
		t.Error("a cure ends at freezing point")
	}
	for c := 1.0; c < 40; c++ {
		a, _ := Cure{Minutes: 600, Reference: 20}.At(c)
		b, _ := Cure{Minutes: 600, Reference: 20}.At(c + 1)
		if a < 600 || b > a {
			t.Errorf("%g °C: %d min, one degree warmer %d", c, a, b)
		}
	}
}

func TestCureOverARecord(t *testing.T) {
	constant, _ := Cure{Minutes: 1440, Reference: 20}.At(10)
	if got, ok := (Cure{Minutes: 1440, Reference: 20}).Over([]Spell{{5, 10}, {8, 10}, {1, 10}}); !ok || got != constant {
		t.Errorf("a constant record takes %d min, want %d", got, constant)
	}
	cold, ok := (Cure{Minutes: 1440, Reference: 20}).Over([]Spell{{10, 20}, {12, -2}, {1, 20}})
	if !ok || cold != 1440+12*60 {
		t.Errorf("a night of frost in between gives %d, want the night on top: %d", cold, 1440+720)
	}
	if _, ok := (Cure{Minutes: 1440, Reference: 20}).Over([]Spell{{10, 20}, {1, -2}}); ok {
		t.Error("a cure ends in lasting frost")
	}
}

// A product's rule stands before the firm's; the hours are those of the vectors
// above, for a sheet whose times hold at 21 °C, and no rule shortens a wait.
func TestRulesOfTemperature(t *testing.T) {
	doubling := takeoff.Curing{Rule: takeoff.RuleDoubling}
	for _, c := range []struct {
		name          string
		product, firm takeoff.Curing
		celsius       float64
		reference     float64
		hours         float64
	}{
		{"equivalent age if nothing is said", takeoff.Curing{}, takeoff.Curing{}, 10, 20, 43.83},
		{"Ea of 41.57 kJ/mol is Q of 5 000 K", takeoff.Curing{ActivationKJ: 41.57}, takeoff.Curing{}, 10, 20, 43.83},
		{"a lower energy waits less", takeoff.Curing{Rule: takeoff.RuleAge, ActivationKJ: 33.5}, takeoff.Curing{}, 10, 20, 39.00}, // 24 e^(4029.3 (1/283.15 - 1/293.15))
		{"doubling by the firm", takeoff.Curing{}, doubling, 5, 21, 96},
		{"every 10 °C", takeoff.Curing{Rule: takeoff.RuleDoubling, DoublesEvery: 10}, doubling, 5, 21, 72.75},
		{"maturity", takeoff.Curing{Rule: takeoff.RuleMaturity}, doubling, 5, 20, 96},
		{"maturity from -10 °C", takeoff.Curing{Rule: takeoff.RuleMaturity, Datum: -10}, takeoff.Curing{}, 5, 20, 48},
		{"none", takeoff.Curing{Rule: takeoff.RuleNone}, doubling, 5, 21, 24},
		{"never shorter, doubling", doubling, takeoff.Curing{}, 35, 20, 24},
		{"never shorter, maturity", takeoff.Curing{Rule: takeoff.RuleMaturity}, takeoff.Curing{}, 35, 20, 24},
	} {
		cure := CureOf(24*60, &takeoff.DataSheet{Reference: c.reference, Curing: c.product}, &Limits{Curing: c.firm})
		if got, ok := cure.At(c.celsius); !ok || math.Abs(float64(got)/60-c.hours) > 0.03 {
			t.Errorf("%s: %.2f h at %g °C, want %.2f", c.name, float64(got)/60, c.celsius, c.hours)
		}
	}
}

// Time below the lowest temperature of a product is no time of its cure, whatever
// the rule.
func TestNoCureBelowTheMinimum(t *testing.T) {
	for _, rule := range []string{"", takeoff.RuleAge, takeoff.RuleDoubling, takeoff.RuleMaturity, takeoff.RuleNone} {
		sheet := &takeoff.DataSheet{Reference: 20, MinCelsius: 10, Curing: takeoff.Curing{Rule: rule}}
		cure := CureOf(24*60, sheet, &Limits{})
		if got, ok := cure.Over([]Spell{{12, 20}, {480, 2}, {1, 20}}); !ok || got != (24+480)*60 {
			t.Errorf("%q: %d min, want the 20 cold days on top: %d", rule, got, (24+480)*60)
		}
		if _, ok := cure.Over([]Spell{{12, 20}, {1, 9.5}}); ok {
			t.Errorf("%q: a cure ends below the minimum", rule)
		}
	}
}

func TestWorkingTimeInHeat(t *testing.T) {
	for _, c := range []struct {
		celsius float64
		want    int
	}{{10, 120}, {21, 120}, {31, 60}, {41, 30}} {
		if got := WorkingMinutes(120, c.celsius, 21); got != c.want {
			t.Errorf("%g °C: %d min, want %d", c.celsius, got, c.want)
		}
	}
}

func TestTooCold(t *testing.T) {
	if TooCold("bed", 4, 5) == "" || TooCold("bed", 5, 5) != "" || TooCold("bed", -3, 0) != "" {
		t.Error("the product's minimum is not kept as printed")
	}
}
