package cli

import (
	"math"

	"potlife/rooms"
)

// inches prints mm in inches to 1/16, rounded down as cuts are.
func inches(mm float64) string {
	return rooms.FormatInches(rooms.Length(math.Round(mm*float64(rooms.Millimetre))), 16, rooms.Down)
}
