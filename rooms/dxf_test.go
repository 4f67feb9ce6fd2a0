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
	if o := w.Openings[0]; o.Kind != "valve" || o.Diameter != 120*Millimetre || o.Centre != (Point{1000 * Millimetre, 500 * Millimetre}) {
		t.Errorf("valve: %s of %s at %v", o.Kind, o.Diameter, o.Centre)
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

// TestDXFArcsStaySides: an arc is one side of the line, whichever way round it is
// drawn, of polylines with bulges and of loose arcs; one of more than half a circle
// is two. Rises are sagittas: a half circle rises by its radius, a quarter by
// r − r/√2 = 0.2929 r.
func TestDXFArcsStaySides(t *testing.T) {
	bay := "0=LWPOLYLINE | 8=SURFACE bay | 70=1 | 10=0 | 20=0 | 10=2000 | 20=0 | 10=2000 | 20=1000 | 42=0.25 | 10=0 | 20=1000"
	clockwise := "0=LWPOLYLINE | 8=SURFACE back | 70=1 | 10=0 | 20=1000 | 42=-0.25 | 10=2000 | 20=1000 | 10=2000 | 20=0 | 10=0 | 20=0"
	hollow := "0=LWPOLYLINE | 8=SURFACE hollow | 70=1 | 10=0 | 20=0 | 42=-0.2 | 10=2000 | 20=0 | 10=2000 | 20=1000 | 10=0 | 20=1000"
	quarter := []string{
		"0=ARC | 8=SURFACE quarter | 10=0 | 20=0 | 40=900 | 50=0 | 51=90",
		"0=LINE | 8=SURFACE quarter | 10=0 | 20=0 | 11=900 | 21=0",
		"0=LINE | 8=SURFACE quarter | 10=0 | 20=900 | 11=0 | 21=0",
	}
	pie := []string{
		"0=ARC | 8=SURFACE pie | 10=0 | 20=0 | 40=900 | 50=0 | 51=270",
		"0=LINE | 8=SURFACE pie | 10=0 | 20=0 | 11=900 | 21=0",
		"0=LINE | 8=SURFACE pie | 10=0 | 20=0 | 11=0 | 21=-900",
	}
	whole := "0=ARC | 8=SURFACE whole | 10=0 | 20=0 | 40=500 | 50=0 | 51=360"
	got, err := ReadDXF(strings.NewReader(drawing("4", append(append(append(quarter, pie...), whole), bay, clockwise, hollow)...)), 0)
	if err != nil || len(got.Ignored) > 0 {
		t.Fatal(err, got.Ignored)
	}
	want := map[string]struct {
		sides, arcs int
		rise, area  float64 // mm, mm²
	}{
		"bay":     {4, 1, 250, 2000*1000 + segmentMM2(2000, 250)},
		"back":    {4, 1, 250, 2000*1000 + segmentMM2(2000, 250)},
		"hollow":  {4, 1, -200, 2000*1000 - segmentMM2(2000, 200)},
		"quarter": {3, 1, 900 * (1 - math.Sqrt(0.5)), math.Pi * 900 * 900 / 4},
		"pie":     {4, 2, 900 * (1 - math.Cos(67.5*math.Pi/180)), math.Pi * 900 * 900 * 3 / 4},
		"whole":   {2, 2, 500, math.Pi * 500 * 500},
	}
	for _, s := range got.Surfaces {
		w, arcs := want[s.Key], 0
		for _, c := range s.Corners {
			if c.Rise != 0 {
				arcs++
				if d := c.Rise.Millimetres() - w.rise; math.Abs(d) > 0.01 {
					t.Errorf("%s: an arc rises %s, want %.2f mm", s.Key, c.Rise, w.rise)
				}
			}
		}
		if len(s.Corners) != w.sides || arcs != w.arcs {
			t.Errorf("%s: %d sides, %d of them arcs; want %d and %d", s.Key, len(s.Corners), arcs, w.sides, w.arcs)
		}
		if d := s.Outline.AreaMM2() - w.area; math.Abs(d) > 400 {
			t.Errorf("%s: %.0f mm², want %.0f", s.Key, s.Outline.AreaMM2(), w.area)
		}
		delete(want, s.Key)
	}
	if len(want) > 0 {
		t.Errorf("not read: %v", want)
	}
}

// segmentMM2 is the area between a chord and its arc.
func segmentMM2(chord, rise float64) float64 {
	r := (chord*chord/4 + rise*rise) / (2 * rise)
	return r*r*math.Acos((r-rise)/r) - (r-rise)*chord/2
}

// TestDXFKindsOfOpenings: the layer's name says what kind of opening it holds.
func TestDXFKindsOfOpenings(t *testing.T) {
	for layer, want := range map[string]string{
		"WINDOW 1": "window", "window": "window", "OPENING window north": "window", "Opening-Door": "door", "DOOR_2": "door", "niche3": "niche",
		"OPENING drain": "drain", "PIPE": "pipe", "OPENING valve": "valve", "FIXTURE": "fixture", "OPENING": "fixture", "OPENING 3": "fixture", "OPENING doorstep": "fixture",
		"DOORS": "", "NOTES": "",
	} {
		wall := "0=LWPOLYLINE | 8=SURFACE wall | 70=1 | 10=0 | 20=0 | 10=2000 | 20=0 | 10=2000 | 20=1000 | 10=0 | 20=1000"
		hole := "0=LWPOLYLINE | 8=" + layer + " | 70=1 | 10=500 | 20=500 | 10=600 | 20=500 | 10=600 | 20=600 | 10=500 | 20=600"
		got, err := ReadDXF(strings.NewReader(drawing("4", wall, hole)), 0)
		if err != nil {
			t.Fatal(err)
		}
		kind := ""
		if o := got.Surfaces[0].Openings; len(o) == 1 {
			kind = o[0].Kind
		}
		if kind != want || (want == "") != (len(got.Ignored) == 1) {
			t.Errorf("%q: %q, want %q; not used: %q", layer, kind, want, got.Ignored)
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
