package scheduler

import (
	"fmt"
	"math"
)

// Temperature effects. A sheet's wait holds at its reference temperature; in a
// colder room it is lengthened, in a warmer one never shortened. The two
// maturity functions are derived from the formula of ASTM C1074, which was
// made for concrete: a guide to waiting longer, no proof that a mortar has
// cured. The doubling rules are the ones mortar makers print. A product or the
// firm chooses among them (see Rule).

// ActivationQ is Q = Ea/R of the Arrhenius function in kelvin, from memory of
// ASTM C1074 (Ea about 41.6 kJ/mol).
const ActivationQ = 5000

const (
	defaultReference = 20 // °C, where a sheet names none
	kelvin           = 273.15
)

// ArrheniusRate is how fast a cement cure runs at celsius against reference.
// Below freezing it is 0.
func ArrheniusRate(celsius, reference, q float64) float64 {
	if celsius < 0 {
		return 0
	}
	return math.Exp(-q * (1/(celsius+kelvin) - 1/(reference+kelvin)))
}

// NurseSaulRate is how fast maturity in °C·h grows at celsius against
// reference, with the datum temperature at which it stops.
func NurseSaulRate(celsius, reference, datum float64) float64 {
	if celsius <= datum || reference <= datum {
		return 0
	}
	return (celsius - datum) / (reference - datum)
}

// DoublingRate is how fast a cure runs by the rule that each step of degrees
// below the reference doubles the wait (10 °C and 8 °C are both printed).
func DoublingRate(celsius, reference, step float64) float64 {
	return math.Exp2((celsius - reference) / step)
}

// Spell is a time at one temperature.
type Spell struct {
	Hours, Celsius float64
}

// EquivalentAge is the age in hours at the reference temperature that the
// spells amount to, by the rate function given.
func EquivalentAge(record []Spell, rate func(celsius float64) float64) float64 {
	age := 0.0
	for _, s := range record {
		age += float64(s.Hours * rate(s.Celsius))
	}
	return age
}

// WorkingMinutes is a pot life or open time in a room at celsius: halved for
// each 10 °C above the reference (LATICRETE TDS 1018 states it for cure and
// working time above 21 °C), never lengthened in the cold. Rounded down.
func WorkingMinutes(minutes int, celsius, reference float64) int {
	if reference == 0 {
		reference = defaultReference
	}
	if celsius <= reference {
		return minutes
	}
	m := float64(minutes) / DoublingRate(celsius, reference, 10)
	return int(math.Floor(math.Round(m*1e6)/1e6 + 1e-6))
}

// TooCold is the reason why a product may not be used at celsius, or "".
func TooCold(name string, celsius, least float64) string {
	if least == 0 || celsius >= least {
		return ""
	}
	return fmt.Sprintf("%s may not be used below %s and the room has %s: heat the room or choose another product", name, degrees(least), degrees(celsius))
}

// TooWarm is the reason why a product may not be used at celsius, or "".
func TooWarm(name string, celsius, most float64) string {
	if most == 0 || celsius <= most {
		return ""
	}
	return fmt.Sprintf("%s may not be used above %s and the room has %s: cool the room, work early or choose another product", name, degrees(most), degrees(celsius))
}

// degrees prints a temperature on both scales, to the degree or its tenth.
func degrees(celsius float64) string {
	return fmt.Sprintf("%g °C (%.0f °F)", math.Round(celsius*10)/10, celsius*9/5+32)
}
