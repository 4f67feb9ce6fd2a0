package rooms

import (
	"math"
	"strings"
	"testing"
)

// drawing writes a DXF file: a unit and entities, each a list of code=value.
func drawing(unit string, entities ...string) string {
	var b strings.Builder
	b.WriteString("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n" + unit + "\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n")
	for _, e := range entities {
		for _, p := range strings.Split(e, " | ") {
			code, value, _ := strings.Cut(p, "=")
			b.WriteString(code + "\n" + value + "\n")
		}
	}
	b.WriteString("0\nENDSEC\n0\nEOF\n")
	return b.String()
}

func TestReadDXF(t *testing.T) {
	wall := "0=LWPOLYLINE | 8=SURFACE wall | 90=4 | 70=1 | 10=100 | 20=50 | 10=2100 | 20=50 | 10=2100 | 20=1050 | 10=100 | 20=1050"
	lines := []string{ // a triangle of loose lines, one the other way round
		"0=LINE | 8=Surface-gable | 10=5000 | 20=0 | 11=6000 | 21=0",
		"0=LINE | 8=Surface-gable | 10=5500 | 20=800 | 11=6000 | 21=0.2",
		"0=LINE | 8=Surface-gable | 10=5500 | 20=800 | 11=5000 | 21=0",
	}
	circle := "0=CIRCLE | 8=OPENING valve | 10=1100 | 20=550 | 40=60"
	text := "0=TEXT | 8=NOTES | 1=hello"
	stray := "0=CIRCLE | 8=opening far | 10=99999 | 20=0 | 40=60"
	got, err := ReadDXF(strings.NewReader(drawing("4", append(lines, wall, circle, text, stray)...)), 0)
	if err != nil {
		t.Fatal(err)
	}
	if got.Unit != "mm" || len(got.Surfaces) != 2 || len(got.Ignored) != 2 {
		t.Fatalf("%s, %d surfaces, ignored %q", got.Unit, len(got.Surfaces), got.Ignored)
	}
	gable, w := got.Surfaces[0], got.Surfaces[1]
	if gable.Key != "gable" {
		gable, w = w, gable
	}
	if w.Key != "wall" || w.Outline.Box().Max != (Point{2000 * Millimetre, 1000 * Millimetre}) || len(w.Openings) != 1 {
		t.Errorf("wall: %+v", w)
	}
	if c := w.Openings[0].Outline; math.Abs(c.AreaMM2()-math.Pi*3600) > 30 || c.Place(Point{1000 * Millimetre, 500 * Millimetre}) != Inside {
		t.Errorf("valve of %.1f mm²", c.AreaMM2())
	}
	if math.Abs(gable.Outline.AreaMM2()-400_000) > 200 {
		t.Errorf("gable of %.1f mm²", gable.Outline.AreaMM2())
	}
}

// TestDXFArcs: a slot of two lines and two half circles, once as a polyline with
// bulges and once of LINE and ARC, in inches.
func TestDXFArcs(t *testing.T) {
	poly := "0=LWPOLYLINE | 8=SURFACE a | 70=1 | 10=0 | 20=0 | 10=40 | 20=0 | 42=1 | 10=40 | 20=20 | 10=0 | 20=20 | 42=1"
	parts := []string{
		"0=LINE | 8=SURFACE b | 10=0 | 20=0 | 11=40 | 21=0",
		"0=ARC | 8=SURFACE b | 10=40 | 20=10 | 40=10 | 50=270 | 51=90",
		"0=LINE | 8=SURFACE b | 10=40 | 20=20 | 11=0 | 21=20",
		"0=ARC | 8=SURFACE b | 10=0 | 20=10 | 40=10 | 50=90 | 51=270",
	}
	got, err := ReadDXF(strings.NewReader(drawing("1", append(parts, poly)...)), 0)
	if err != nil || len(got.Surfaces) != 2 {
		t.Fatalf("%d surfaces, %v, %v", len(got.Surfaces), err, got.Ignored)
	}
	want := (40*20 + math.Pi*100) * 25.4 * 25.4
	for _, s := range got.Surfaces {
		if a := s.Outline.AreaMM2(); a > want || a < want-2*math.Pi*254*0.1 {
			t.Errorf("%s: %.1f mm², want a little below %.1f", s.Key, a, want)
		}
	}
}

func TestDXFRefuses(t *testing.T) {
	line := "0=LINE | 8=SURFACE a | 10=0 | 20=0 | 11=40 | 21=0"
	for _, c := range []struct{ text, says string }{
		{drawing("0", line), "no unit"},
		{drawing("4", line), "no closed outline"},
		{drawing("4", "0=LINE | 8=SURFACE a | 10=x | 20=0 | 11=40 | 21=0"), "is no number"},
		{drawing("4", "0=LINE | 8=SURFACE a | 10=1"), "no group code 20"},
		{"hello\nworld\n", "no DXF drawing"},
		{"0\n", "is missing"},
		{"", "the file is empty"},
		{"hello, this is long enough to be cut off\n", "begins with \"hello, this is long enou…\""},
		{"A Binary DXF\r\n\x1a\x00", "binary drawing"},
	} {
		if _, err := ReadDXF(strings.NewReader(c.text), 0); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("want %q, got %v", c.says, err)
		}
	}
}

// FuzzReadDXF: nothing makes the reader fall over, and what it gives is simple.
func FuzzReadDXF(f *testing.F) {
	f.Add(drawing("4", "0=LWPOLYLINE | 8=SURFACE w | 70=1 | 10=0 | 20=0 | 10=9 | 20=0 | 42=0.5 | 10=9 | 20=9"))
	f.Add(drawing("6", "0=CIRCLE | 8=surface c | 10=1 | 20=1 | 40=2", "0=ARC | 8=opening x | 10=1 | 20=1 | 40=1 | 50=0 | 51=359"))
	f.Fuzz(func(t *testing.T, text string) {
		got, err := ReadDXF(strings.NewReader(text), 0)
		if err != nil {
			return
		}
		for _, s := range got.Surfaces {
			if err := s.Outline.Validate(); err != nil {
				t.Fatal(err)
			}
		}
	})
}
