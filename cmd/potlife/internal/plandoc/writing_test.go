package plandoc

import (
	"testing"
	"testing/quick"
)

func TestCutIsNeverWrittenLarger(t *testing.T) {
	metric, imperial := Writing{}, Writing{Imperial: true}
	for _, c := range []struct {
		w    Writing
		mm   MM
		want string
	}{
		{metric, 213, "213"},
		{metric, 213.4, "213.4"},    // on the 0.1 mm grid: chosen so, kept
		{metric, 213.4667, "213"},   // a drawn size: down to whole mm
		{metric, 213.999999, "214"}, // 213.999999 is 214 to 1/8 µm
		{metric, 213.9999, "213"},
		{imperial, 25.4, `1"`},
		{imperial, 213, `8 3/8"`},                // 8.386 in, down to 1/16
		{imperial, 12.7 + 25.4/64, `33/64"`},     // on the 1/64 grid
		{imperial, 1778, `70"`},                  // cuts stay in inches
		{imperial, 1778 + 25.4*7/16, `70 7/16"`}, // reduced fraction
		{imperial, 25.4 * 15.99 / 16, `15/16"`},
	} {
		if got := c.w.Cut(c.mm); got != c.want {
			t.Errorf("Cut(%v, imperial %v) = %s, want %s", c.mm, c.w.Imperial, got, c.want)
		}
	}
	down := func(u uint32) bool {
		mm := MM(u%20_000_000) / perMM
		read := readInches(imperial.Cut(mm))
		return read <= float64(mm)+1e-9 && float64(mm)-read < 25.4/16
	}
	if err := quick.Check(down, nil); err != nil {
		t.Error(err)
	}
}

// readInches reads "8 3/8\"" back into mm.
func readInches(s string) float64 {
	var whole, num, den float64
	var n, d, w, state = 0.0, 0.0, 0.0, 0
	for _, r := range s {
		switch {
		case r >= '0' && r <= '9' && state == 1:
			d = d*10 + float64(r-'0')
		case r >= '0' && r <= '9':
			n = n*10 + float64(r-'0')
		case r == ' ':
			w, n = n, 0
		case r == '/':
			state = 1
		}
	}
	whole, num, den = w, n, d
	if state == 0 {
		return 25.4 * (whole + num)
	}
	return 25.4 * (whole + num/den)
}

func TestLengthsAmountsAndTimes(t *testing.T) {
	metric, imperial := Writing{}, Writing{Imperial: true}
	for _, c := range [][2]string{
		{metric.Length(1777.6), "1778"},
		{imperial.Length(1778), `5' 10"`},
		{imperial.Length(304.8), `12"`},
		{imperial.Length(1778 + 12.7), `5' 10 1/2"`},
		{metric.LengthUnit(3), "3 mm"},
		{metric.Mass(12.04), "12 kg"},
		{imperial.Mass(22.6796185), "50 lb"},
		{metric.Volume(3.256), "3.26 l"},
		{metric.Volume(0.31), "310 ml"},
		{imperial.Volume(1.04), "1.1 qt"},
		{imperial.Volume(1.07), "1.13 qt"},
		{metric.Degrees(19.25), "19.2 °C"},
		{imperial.Degrees(19), "66 °F"},
		{imperial.Volume(0.298), "10.1 fl oz"},
		{imperial.Volume(13.249), "3.5 gal"},
		{imperial.Volume(0.946352946 * 2.5), "2.5 qt"},
		{metric.Area(4.5), "4.5 m²"},
		{imperial.Area(9.290304), "100 ft²"},
		{metric.Quantity(3, "box"), "3 boxes"},
		{metric.Quantity(1, "bag"), "1 bag"},
		{metric.Clock("2026-11-26T07:30:00+01:00"), "07:30"},
		{imperial.Clock("2026-11-26T13:05:00-05:00"), "1:05 pm"},
		{metric.Day("2026-11-26"), "Thu 26 Nov 2026"},
		{imperial.Day("2026-11-26T13:05:00-05:00"), "Thu, Nov 26, 2026"},
	} {
		if c[0] != c[1] {
			t.Errorf("got %q, want %q", c[0], c[1])
		}
	}
}
