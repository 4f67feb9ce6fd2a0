package takeoff

import (
	"fmt"

	"potlife/rooms"
)

// figures writes lengths in the job's units: millimetres with a number of
// decimals, or feet and inches to 1/16.
type figures struct{ imperial bool }

func (f figures) length(l rooms.Length, places int, r rooms.Rounding) string {
	switch {
	case f.imperial && absLen(l) < 2*rooms.Foot:
		return rooms.FormatInches(l, 16, r)
	case f.imperial:
		return rooms.FormatImperial(l, r)
	}
	return rooms.FormatMM(l, places, r) + " mm"
}

// limit writes a figure of a rule: the nearest that the units have, so that
// 3 mm and 1/8 in stand for each other.
func (f figures) limit(l rooms.Length) string { return f.length(l, 1, rooms.Nearest) }

// fine writes a small figure that others are added to, such as lippage and the bow of a
// tile: inches to 1/32, as standards and makers give them, so that the sum still adds up.
func (f figures) fine(l rooms.Length, r rooms.Rounding) string {
	if f.imperial {
		return rooms.FormatInches(l, 32, r)
	}
	return f.length(l, 1, r)
}

// finest is what best places are told apart to.
func (f figures) finest() string {
	if f.imperial {
		return "1/200 in"
	}
	return "1/8 mm"
}

// run writes a long measure: metres to two decimals, or feet.
func (f figures) run(l rooms.Length) string {
	if !f.imperial {
		return trimmed(l.Millimetres()/1000, 2) + " m"
	}
	if feet := l.Round(rooms.Inch/16, rooms.Nearest); feet%rooms.Foot == 0 {
		return fmt.Sprintf("%d ft", feet/rooms.Foot)
	}
	return rooms.FormatImperial(l, rooms.Nearest)
}

// load writes kg/m², or pounds per square foot (1 lb/ft² is 4.882 kg/m²).
func (f figures) load(kg float64) string {
	if f.imperial {
		return fmt.Sprintf("%.1f lb/ft²", kg/4.88243)
	}
	return fmt.Sprintf("%.1f kg/m²", kg)
}

// several writes a number with its noun, and the verb that agrees.
func several(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// figures are in the units of the zone's job.
func (z *zoneLayer) figures() figures { return figures{z.in.Imperial} }
