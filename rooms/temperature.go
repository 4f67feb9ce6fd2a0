package rooms

import (
	"fmt"
	"strconv"
	"strings"
)

// Temperature is what a room's air has, or is expected to have, over some days.
type Temperature struct {
	// From and To are the first and the last day it holds for.
	From, To Date
	Celsius  float64
	// Forecast marks what is expected; the others were read in the room.
	Forecast bool
}

// Air is the room's plain temperature, and whether it is known.
func (m *Room) Air() (celsius float64, known bool) {
	return m.Celsius, m.Celsius != 0 || m.AtZero
}

// CelsiusOn is the room's air temperature on a day: what was read that day,
// else what is forecast for it, else the plain Celsius. Of several the last in
// the list holds.
func (m *Room) CelsiusOn(d Date) float64 {
	forecast, expected := m.Celsius, false
	for i := len(m.Temperatures) - 1; i >= 0; i-- {
		t := &m.Temperatures[i]
		switch {
		case d.Before(t.From) || t.To.Before(d):
		case !t.Forecast:
			return t.Celsius
		case !expected:
			forecast, expected = t.Celsius, true
		}
	}
	return forecast
}

// ParseCelsius reads a temperature as a thermometer shows it: "14 °C", "57 °F", a
// bare number being in °C, or in °F where imperial is set. Errors say what was
// expected.
func ParseCelsius(s string, imperial bool) (float64, error) {
	text := strings.ReplaceAll(strings.TrimSpace(s), "−", "-")
	i := strings.IndexFunc(text, func(c rune) bool { return !strings.ContainsRune("0123456789.+-", c) })
	if i < 0 {
		i = len(text)
	}
	f, err := strconv.ParseFloat(strings.TrimSpace(text[:i]), 64)
	unit := strings.ToUpper(strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(text[i:]), "°")))
	switch {
	case err != nil, unit != "" && unit != "C" && unit != "F":
		return 0, fmt.Errorf("%q is no temperature; expected one such as 14 °C or 57 °F", s)
	case unit == "F" || unit == "" && imperial:
		f = (f - 32) * 5 / 9
	}
	if !(f >= -40 && f <= 60) {
		return 0, fmt.Errorf("%s is no temperature of a room; expected -40 °C to 60 °C", s)
	}
	return f, nil
}
