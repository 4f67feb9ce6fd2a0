package takeoff

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"potlife/rooms"
)

// TestZonesKeepAJointApart: a band across a wall and the rest in another
// pattern meet with exactly a joint between their pieces.
func TestZonesKeepAJointApart(t *testing.T) {
	in := wall(2000*lmm, 1500*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{Pattern: "straight"})
	in.Tiles["band"] = box("band", 97*lmm, 97*lmm)
	s := &in.Room.Surfaces[0]
	band := rooms.Zone{Key: "band", Tile: "band", Pattern: "straight", Joint: 3 * lmm, Region: rooms.Rect(0, 800*lmm, 2000*lmm, 1000*lmm)}
	s.Zones = append([]rooms.Zone{band}, s.Zones...)
	l := lay(t, in)
	if err := CheckLayout(l, in.Tiles); err != nil {
		t.Fatal(err)
	}
	nearest := rooms.Length(math.MaxInt64)
	for _, p := range l.Zones[0].Pieces {
		for _, q := range l.Zones[1].Pieces {
			nearest = min(nearest, polygonDistance(p.Polygon, q.Polygon))
		}
	}
	if nearest != 3*lmm {
		t.Errorf("pieces of the two zones lie %s apart, want 3 mm", nearest)
	}
	// 200 mm less half a joint on both sides is two courses of 97 and their joint.
	for _, p := range l.Zones[0].Pieces {
		if h := p.Polygon.Outer.Box().Height(); h != 97*lmm {
			t.Errorf("%s is %s high (%s)", p.ID, h, l.Zones[0].Why)
		}
	}
}

// TestRandomZones: a random region of its own pattern in a random surface.
func TestRandomZones(t *testing.T) {
	patterns := everyPattern()
	checks(t, 25)
	rapid.Check(t, func(rt *rapid.T) {
		p := rapid.SampledFrom(patterns).Draw(rt, "pattern")
		s := drawSurface(rt)
		in := startAnywhere(rt, roomWith(s, p))
		x, y := drawLength(rt, "zx", 0, 900), drawLength(rt, "zy", 0, 700)
		zone := rooms.Zone{Key: "inset", Tile: "i", Pattern: "straight", Joint: 2 * lmm,
			Region: rooms.Rect(x, y, x+drawLength(rt, "zw", 100, 900), y+drawLength(rt, "zh", 100, 900))}
		in.Tiles["i"] = box("i", 98*lmm, 48*lmm)
		in.Room.Surfaces[0].Zones = append(in.Room.Surfaces[0].Zones, zone)
		l, err := LayOut(in)
		if err != nil {
			rt.Fatal(err)
		}
		if err := CheckLayout(l[0], in.Tiles); err != nil {
			rt.Fatal(err)
		}
	})
}

// TestReadingsBendTheWall: with the upper end of the right wall 6 mm further in
// than the lower, the cuts follow: courses higher up get smaller pieces.
func TestReadingsBendTheWall(t *testing.T) {
	in := wall(2000*lmm, 1000*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{Datum: rooms.Datum{Across: rooms.FullLeft, Up: rooms.FullLow}})
	in.Room.Surfaces[0].Readings = []rooms.Reading{{Edge: 1, At: 0}, {Edge: 1, At: 1000 * lmm, Deviation: -6 * lmm}}
	z := lay(t, in).Zones[0]
	last := rooms.Length(math.MaxInt64)
	for course := 1; course <= 5; course++ {
		for _, p := range z.Pieces {
			if p.Course != course || p.Position != 7 {
				continue
			}
			var side Cut
			for _, c := range p.Cuts {
				if c.Side == "right" {
					side = c
				}
			}
			if !side.Sized || side.Size >= last || side.Size > side.Most || side.Size < side.Least {
				t.Errorf("course %d: %+v after %s", course, side, last)
			}
			// Never larger than its space: the narrow end decides.
			if b := p.Polygon.Outer; side.Size > narrowEnd(b) {
				t.Errorf("course %d: size %s, the space is %s at its narrow end", course, side.Size, narrowEnd(b))
			}
			last = side.Size
		}
	}
}

// narrowEnd is the shorter of the piece's two level sides.
func narrowEnd(r rooms.Ring) rooms.Length {
	best := rooms.Length(math.MaxInt64)
	for i, a := range r {
		if b := r[(i+1)%len(r)]; a.Y == b.Y {
			best = min(best, absLen(b.X-a.X))
		}
	}
	return best
}

// TestBuildUpShortensTheWall: the tile and bed of the wall set first are taken
// off.
func TestBuildUpShortensTheWall(t *testing.T) {
	in := wall(2000*lmm, 1000*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{Datum: rooms.Datum{Across: rooms.FullLeft}})
	in.Room.Surfaces[0].Build.Deduct = []rooms.Length{0, 12 * lmm, 0, 0}
	l := lay(t, in)
	if b := l.Outline.Outer.Box(); b.Max.X != 1988*lmm {
		t.Errorf("the outline ends at %s, want 1988 mm", b.Max.X)
	}
	if got, want := sizesAlong(l.Zones[0], 2), "297 297 297 297 297 297 178"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// TestWaitsForMeasuring: what is not measured or not in place is measured on
// site, and the piece says what would free it.
func TestWaitsForMeasuring(t *testing.T) {
	in := wall(2000*lmm, 1000*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
	s := &in.Room.Surfaces[0]
	s.Edges[1].Unmeasured = true
	s.Openings = []rooms.Opening{{Key: "valve", Outline: rooms.Rect(900*lmm, 450*lmm, 950*lmm, 500*lmm), Gap: 5 * lmm, NotYet: true}}
	for _, p := range lay(t, in).Zones[0].Pieces {
		b := p.Polygon.Outer.Box()
		right := b.Max.X == 1995*lmm
		hole := len(p.Polygon.Holes) > 0 || len(p.Polygon.Outer) > 4
		if p.OnSite != (right || hole) || p.OnSite != (p.OnSiteWhy != "") {
			t.Errorf("%s at %v: on site %v, %q", p.ID, b, p.OnSite, p.OnSiteWhy)
		}
	}
	s.Measured = false
	for _, p := range lay(t, in).Zones[0].Pieces {
		if p.OnSite == p.Full {
			t.Errorf("%s: full %v, on site %v on a surface that is not measured", p.ID, p.Full, p.OnSite)
		}
	}
}

// TestSameBytes: the same room gives the same layout.
func TestSameBytes(t *testing.T) {
	p := everyPattern()[8]
	in := roomWith(rapid.Custom(drawSurface).Example(3), p)
	first := fmt.Sprintf("%+v", lay(t, in))
	for range 3 {
		if again := fmt.Sprintf("%+v", lay(t, in)); again != first {
			t.Fatal("laying the same room again gives another layout")
		}
	}
}

// drawing is a wall in letters: one line per course, from the top, one mark per
// piece: # whole, a number the width in mm of what is cut.
func drawing(z ZoneLayout) string {
	var out bytes.Buffer
	for course := 60; course > -60; course-- {
		line := ""
		for _, p := range z.Pieces {
			if p.Course != course {
				continue
			}
			b := p.Polygon.Outer.Box()
			switch {
			case p.Full:
				line += " #"
			case b.Height() < 195*lmm:
				line += fmt.Sprintf(" %sx%s", rooms.FormatMM(b.Width(), 0, rooms.Down), rooms.FormatMM(b.Height(), 0, rooms.Down))
			default:
				line += " " + rooms.FormatMM(b.Width(), 0, rooms.Down)
			}
		}
		if line != "" {
			fmt.Fprintf(&out, "%d:%s\n", course, line)
		}
	}
	return out.String()
}

func TestGoldenDrawing(t *testing.T) {
	in := wall(1500*lmm, 1000*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{Pattern: "offset 1/2", Datum: rooms.Datum{Across: rooms.FullLeft, Up: rooms.FullHigh}})
	in.Room.Surfaces[0].Openings = []rooms.Opening{{Key: "window", Outline: rooms.Rect(600*lmm, 500*lmm, 900*lmm, 1000*lmm), Gap: 5 * lmm, GapMax: 8 * lmm, Seen: true}}
	// From the left 297 and the offset's 147; beside the window whole tiles or,
	// a joint and 5 mm before it, 290 and 140; under it what is left of the course.
	want := `5: # 290 # 290
4: 147 # 140 147 # 140
3: # 297 297x97 # 290
2: 147 # # # # 140
1: 297x190 297x190 297x190 297x190 290x190
`
	if got := drawing(lay(t, in).Zones[0]); got != want {
		t.Errorf("drawn\n%swant\n%s", got, want)
	}
}

// TestEnvelopeFloor: a shower floor in four planes is cut along the folds, a
// joint wide, and passes the check.
func TestEnvelopeFloor(t *testing.T) {
	in := wall(900*lmm, 1100*lmm, box("t", 197*lmm, 197*lmm), rooms.Zone{})
	s := &in.Room.Surfaces[0]
	s.Kind = rooms.ShowerFloor
	s.Openings = []rooms.Opening{{Key: "drain", Outline: rooms.Circle(rooms.Point{X: 450 * lmm, Y: 500 * lmm}, 55*lmm, lmm/10), Gap: 2 * lmm, GapMax: 4 * lmm}}
	s.Falls = &rooms.Falls{Kind: rooms.ToPoint, A: rooms.Point{X: 450 * lmm, Y: 500 * lmm}, Cut: true}
	l := lay(t, in)
	if err := CheckLayout(l, in.Tiles); err != nil {
		t.Error(err)
	}
	if len(l.Zones) != 4 {
		t.Fatalf("%d planes are laid", len(l.Zones))
	}
	for i, z := range l.Zones {
		for _, y := range l.Zones[:i] {
			for _, p := range z.Pieces {
				for _, q := range y.Pieces {
					if d := polygonDistance(p.Polygon, q.Polygon); d < 3*lmm-checkLine {
						t.Fatalf("%s and %s lie %s apart over the fold", p.ID, q.ID, d)
					}
				}
			}
		}
	}
}

// A wall that runs out is cut as tapers with both sizes, as far as the threshold
// goes; beyond it each is measured on site, and a threshold below nought leaves all.
func TestTapersByTheThreshold(t *testing.T) {
	for _, c := range []struct {
		out, threshold rooms.Length // of 2 400 mm, over tiles 300 mm high
		onSite         bool
	}{
		{60 * lmm, 0, false}, // 7.5 mm a tile
		{100 * lmm, 0, true}, // 12.5 mm
		{100 * lmm, 15 * lmm, false},
		{60 * lmm, -1, true},
	} {
		in := wall(2000*lmm, 2400*lmm, box("t", 297*lmm, 297*lmm), rooms.Zone{Pattern: "straight"})
		in.Taper = c.threshold
		in.Room.Surfaces[0].Outline[2].X += c.out
		tapers := 0
		for _, p := range lay(t, in).Zones[0].Pieces {
			for _, cut := range p.Cuts {
				if strings.HasPrefix(cut.Shape, "taper") {
					if p.OnSite == c.onSite {
						tapers++
					} else if !c.onSite || cut.Rise > cmp.Or(c.threshold, DefaultTaper) { // where the wall leaves a tile partway, less runs out
						t.Errorf("%s out of 2400 mm, threshold %s: %s is left to the site: %v (%s), %s", c.out, c.threshold, p.Label, p.OnSite, p.OnSiteWhy, cut.Shape)
					}
					var from, to float64 // what is left of 297 mm at the two ends
					fmt.Sscanf(cut.Shape, "taper on the right side from %f to %f mm", &from, &to)
					strip := SnapStrip(in.Tiles["t"]).Millimetres()
					wide := min(from, to) >= strip && 297-max(from, to) >= strip
					if cut.Tool != WetSaw && (cut.Tool != Snap || !wide) {
						t.Errorf("%s is cut by the %s", cut.Shape, cut.Tool)
					}
				}
			}
		}
		if tapers < 5 {
			t.Errorf("%s out of 2400 mm: %d tapers", c.out, tapers)
		}
	}
}

// A number is written on one tile of a surface only: zones have letters where there
// are several, and no letter stands where there is one.
func TestLabelsOfZones(t *testing.T) {
	for _, zones := range []int{1, 2} {
		in := wall(2000*lmm, 1200*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
		s := &in.Room.Surfaces[0]
		if zones == 2 {
			band := s.Zones[0]
			band.Key, band.Region = "band", rooms.Rect(0, 500*lmm, 2000*lmm, 700*lmm)
			s.Zones = append(s.Zones, band)
		}
		seen := map[string]bool{}
		letters := map[string]bool{}
		for _, z := range lay(t, in).Zones {
			for _, p := range z.Pieces {
				if seen[p.Label] {
					t.Errorf("%d zones: %s stands on two pieces", zones, p.Label)
				}
				seen[p.Label] = true
				letters[strings.TrimRight(p.Label, "0123456789.abc-")] = true
			}
		}
		want := map[string]bool{"": true}
		if zones == 2 {
			want = map[string]bool{"A": true, "B": true}
		}
		if !maps.Equal(letters, want) {
			t.Errorf("%d zones: letters %v, expected %v", zones, letters, want)
		}
	}
}

// Numbers begin at 1.01 with what is there, in every pattern: no course and no position
// is skipped before the first piece; what was issued keeps its numbers when a reading
// takes the first course away.
func TestNumbersBeginAtOne(t *testing.T) {
	for _, p := range everyPattern() {
		for _, high := range []rooms.Length{1300, 1450, 1620} {
			in := roomWith(rooms.Surface{Key: "s", Kind: rooms.Wall, Measured: true, Outline: rooms.Rect(0, 0, 1700*lmm, high*lmm)}, p)
			z := lay(t, in).Zones[0]
			course, position := 1<<30, 1<<30
			for _, q := range z.Pieces {
				course, position = min(course, q.Course), min(position, q.Position)
			}
			if course != 1 || position != 1 {
				t.Errorf("%s, %d high: courses from %d, positions from %d", p.name, high, course, position)
			}
			in.Locks = map[string]Lock{"j/r/s/z": {Origin: z.Origin, Skipped: z.Skipped}}
			s := &in.Room.Surfaces[0]
			s.Outline = slices.Clone(s.Outline)
			for i := range s.Outline {
				if s.Outline[i].Y == 0 {
					s.Outline[i].Y = 320 * lmm
				}
			}
			ids := map[string]rooms.Point{}
			for _, q := range z.Pieces {
				ids[q.ID] = q.Place
			}
			kept := 0
			for _, q := range lay(t, in).Zones[0].Pieces {
				if at, ok := ids[q.ID]; ok && at == q.Place {
					kept++
				} else if ok {
					t.Errorf("%s: %s is another tile", p.name, q.ID)
				}
			}
			if kept == 0 {
				t.Errorf("%s: no piece keeps its number", p.name)
			}
		}
	}
}
