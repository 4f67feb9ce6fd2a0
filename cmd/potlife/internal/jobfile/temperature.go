package jobfile

import "potlife/rooms"

// temperatureObject is what a room's air has over some days.
var temperatureObject = object[rooms.Temperature]{
	name: "temperature", doc: "the air of a room on one day or several, as read there or as forecast",
	fields: []field[rooms.Temperature]{
		{key: "on", doc: "the day YYYY-MM-DD, or the days YYYY-MM-DD..YYYY-MM-DD", must: true,
			read: func(r *reader, v *value, t *rooms.Temperature) {
				if from, to, ok := readSpan(r, v); ok {
					t.From, t.To = from, to
				}
			},
			write: func(t *rooms.Temperature) (any, bool) {
				if t.From == t.To {
					return raw(t.From.String()), true
				}
				return t.From.String() + ".." + t.To.String(), true
			},
			schema: func(*schemas) any { return ordered{{"type", "string"}} }},
		always("is", "its temperature, such as 12 °C or 54 °F", celsiusForm, func(t *rooms.Temperature) *float64 { return &t.Celsius }).needed(),
		keep("forecast", "expected, not read; a reading of the day goes before it", flagForm, func(t *rooms.Temperature) *bool { return &t.Forecast }),
	},
}
