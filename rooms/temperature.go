package rooms

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
