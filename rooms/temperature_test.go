package rooms

import "testing"

// Freezing is a temperature, and no temperature is none.
func TestZeroIsATemperature(t *testing.T) {
	for _, c := range []struct {
		room  Room
		known bool
	}{{Room{}, false}, {Room{AtZero: true}, true}, {Room{Celsius: -3}, true}, {Room{Celsius: 18}, true}} {
		if got, known := c.room.Air(); known != c.known || got != c.room.Celsius {
			t.Errorf("%+v: %g °C, known %v", c.room, got, known)
		}
	}
}

// A reading of the day goes before a forecast, and both before the plain number.
func TestCelsiusOn(t *testing.T) {
	day := func(d int) Date { return Date{Year: 2026, Month: 12, Day: d} }
	m := Room{Celsius: 20, Temperatures: []Temperature{
		{From: day(2), To: day(4), Celsius: 12},
		{From: day(3), To: day(9), Celsius: 8, Forecast: true},
		{From: day(4), To: day(4), Celsius: 13},
		{From: day(9), To: day(9), Celsius: 7, Forecast: true},
	}}
	for d, want := range map[int]float64{1: 20, 2: 12, 3: 12, 4: 13, 5: 8, 8: 8, 9: 7, 10: 20} {
		if got := m.CelsiusOn(day(d)); got != want {
			t.Errorf("on the %dth: %g °C, want %g", d, got, want)
		}
	}
}
