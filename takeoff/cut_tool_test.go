package takeoff

import (
	"math"
	"testing"

	"potlife/rooms"
)

// A tile of 600 × 300 that leaves strips of 20 mm, seen from above; a line runs upward where its right part is cut off.
func framedTile(strip rooms.Length) *framed {
	return &framed{shape: rooms.Rect(0, 0, 600*rooms.Millimetre, 300*rooms.Millimetre), strip: strip}
}

func TestStraightLinesAreScoredWhereBothPartsAreWideEnough(t *testing.T) {
	at := func(x, y float64) rooms.Point {
		return rooms.Point{X: rooms.Length(x * float64(rooms.Millimetre)), Y: rooms.Length(y * float64(rooms.Millimetre))}
	}
	tests := []struct {
		name  string
		strip rooms.Length
		a, b  rooms.Point
		want  string
	}{
		{"a taper that takes off 40 to 50 mm", 20 * rooms.Millimetre, at(560, 0), at(550, 300), Snap},
		{"one that takes off 20 mm at its narrow end", 20 * rooms.Millimetre, at(580, 0), at(575, 300), Snap},
		{"one that takes off 19 mm there", 20 * rooms.Millimetre, at(581, 0), at(575, 300), WetSaw},
		{"one that leaves 15 mm", 20 * rooms.Millimetre, at(15, 0), at(25, 300), WetSaw},
		{"one that ends inside the tile", 20 * rooms.Millimetre, at(560, 0), at(550, 200), WetSaw},
		{"a line too slanted to be a taper", 20 * rooms.Millimetre, at(560, 0), at(500, 300), WetSaw},
		{"a tile that cannot be snapped", 0, at(560, 0), at(550, 300), WetSaw},
	}
	for _, tt := range tests {
		if got := framedTile(tt.strip).toolForLine(tt.a, tt.b); got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
}

// A pipe of 68 mm whose centre lies 12 mm below the tile's lower edge is told as one sets a compass: both figures are
// those it was drawn with. The wall's own round corner is the other way about, and an angled line is no circle.
func TestPartsOfCirclesAreToldByTheirCentre(t *testing.T) {
	arc := func(x, y, r, from, to float64) (out []rooms.Point) {
		for k := range 13 {
			w := from + (to-from)*float64(k)/12
			out = append(out, rooms.Point{X: rooms.Length(math.Round((x + r*math.Cos(w)) * 8000)), Y: rooms.Length(math.Round((y + r*math.Sin(w)) * 8000))})
		}
		return out
	}
	tests := []struct {
		name   string
		points []rooms.Point
		want   string
	}{
		{"a pipe", arc(310, -12, 34, math.Pi-0.4, 0.4), "round cut-out of Ø 68 mm, centre 310 mm from the left edge and 12 mm outside the lower edge"},
		{"a rounded wall", arc(100, 100, 400, 0.1, 0.6), "rounded to a radius of 400 mm, centre 100 mm from the left edge and 100 mm from the lower edge"},
		{"no circle", []rooms.Point{{}, {X: 8000}, {X: 20_000, Y: 10}, {X: 40_000, Y: 90_000}, {X: 50_000, Y: 10}, {X: 9000, Y: 9000}}, ""},
		{"a line", []rooms.Point{{}, {X: 8000}, {X: 16_000}, {X: 24_000}, {X: 32_000}, {X: 40_000}}, ""},
	}
	for _, tt := range tests {
		if got, _ := framedTile(0).roundText(tt.points); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}
