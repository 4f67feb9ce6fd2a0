package scheduler

import (
	"math"
	"testing"
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
		got, ok := CureMinutes(c.minutes, c.celsius, c.reference)
		if !ok || got < c.want-1 || got > c.want+1 {
			t.Errorf("%d min at %g °C (sheet at %g): %d %v, want %d", c.minutes, c.celsius, c.reference, got, ok, c.want)
		}
	}
	if _, ok := CureMinutes(60, 0, 20); ok {
		t.Error("a cure ends at freezing point")
	}
	for c := 1.0; c < 40; c++ {
		a, _ := CureMinutes(600, c, 20)
		b, _ := CureMinutes(600, c+1, 20)
		if a < 600 || b > a {
			t.Errorf("%g °C: %d min, one degree warmer %d", c, a, b)
		}
	}
}

func TestCureOverARecord(t *testing.T) {
	constant, _ := CureMinutes(1440, 10, 20)
	if got, ok := CureOver(1440, []Spell{{5, 10}, {8, 10}, {1, 10}}, 20); !ok || got != constant {
		t.Errorf("a constant record takes %d min, want %d", got, constant)
	}
	cold, ok := CureOver(1440, []Spell{{10, 20}, {12, -2}, {1, 20}}, 20)
	if !ok || cold != 1440+12*60 {
		t.Errorf("a night of frost in between gives %d, want the night on top: %d", cold, 1440+720)
	}
	if _, ok := CureOver(1440, []Spell{{10, 20}, {1, -2}}, 20); ok {
		t.Error("a cure ends in lasting frost")
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
