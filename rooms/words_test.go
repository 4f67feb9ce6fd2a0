package rooms

import (
	"testing"
	"time"
)

func TestPlural(t *testing.T) {
	for _, c := range []struct {
		noun string
		n    float64
		want string
	}{
		{"box", 1, "box"}, {"box", 7, "boxes"}, {"box", 0.5, "boxes"}, {"piece", 1555, "pieces"}, {"pieces", 2, "pieces"}, {"activity", 2, "activities"},
		{"delivery", 3, "deliveries"}, {"day", 2, "days"}, {"kg", 2, "kg"}, {"l", 0.31, "l"}, {"batch", 2, "batches"}, {"", 3, ""},
	} {
		if got := Plural(c.noun, c.n); got != c.want {
			t.Errorf("%g %s: got %q, want %q", c.n, c.noun, got, c.want)
		}
	}
}

func TestGrouped(t *testing.T) {
	for in, want := range map[string]string{"0": "0", "999": "999", "1000": "1\u202f000", "-12345.678": "-12\u202f345.678", "1555.5": "1\u202f555.5",
		"123456789": "123\u202f456\u202f789", "1e5": "1e5", "": "", "1' 10\"": "1' 10\""} {
		if got := Grouped(in); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}

func TestDayAndMomentInWords(t *testing.T) {
	d, err := ParseDate("2026-12-07")
	if err != nil {
		t.Fatal(err)
	}
	if got := d.Words(); got != "Mon 7 Dec" {
		t.Errorf("got %q", got)
	}
	if got := (Date{}).Words(); got != "" {
		t.Errorf("no day is called %q", got)
	}
	if got := MomentWords(d.In(time.UTC).Add(7*time.Hour + 5*time.Minute)); got != "Mon 7 Dec 07:05" {
		t.Errorf("got %q", got)
	}
}
