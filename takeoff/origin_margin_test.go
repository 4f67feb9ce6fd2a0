package takeoff

import (
	"math/rand/v2"
	"slices"
	"testing"

	"potlife/rooms"
)

// TestMarginOfTurnedPatterns: of a field that a border frames only the pieces inside the
// border count as under a third or half, in patterns whose directions depend on each
// other too; in the margin those that are too narrow to be set. The search weighs it as
// it is laid, and the bound of a window is no more than that of any origin in it.
func TestMarginOfTurnedPatterns(t *testing.T) {
	for _, pattern := range []string{"herringbone", "diagonal"} {
		outline := rooms.Rect(0, 0, 1810*lmm, 1520*lmm)
		in, err := stripFloor(outline, false, 6*lmm, 0)
		if err != nil {
			t.Fatal(err)
		}
		strips, err := rooms.Border(outline, 170*lmm, 100*lmm, false)
		if err != nil {
			t.Fatal(err)
		}
		s := &in.Room.Surfaces[0]
		for i, x := range strips {
			s.Zones[1+i].Region = x.Region
		}
		s.Zones[0].Pattern, in.Tiles["t"] = pattern, box("t", 197*lmm, 97*lmm)
		w, err := prepareSurface(in, s, viewOf(&in.Room))
		if err != nil {
			t.Fatal(err)
		}
		z := w.layers[0]
		if z.framed() == nil {
			t.Fatal("no border frames the field")
		}
		c := z.newCellSearch(w.surface, z.searchBase(rooms.Datum{}), [2]bool{true, true})
		inner := rooms.Rect(220*lmm, 220*lmm, 1590*lmm, 1300*lmm).Box()
		r := rand.New(rand.NewPCG(9, 1))
		off, n := 0, cases(25, 500)
		for range n {
			x, b := anyWindow(r, c, z.lay)
			o := rooms.Point{X: x.w.Min.X + x.w.Width()/3, Y: x.w.Min.Y + x.w.Height()/2}
			want := mustJudge(t, z, w.surface, o)
			if !weighedAs(t, pattern, c, x, b, o, want[:]) {
				off++
			}
			got, err := z.fill.fill(o)
			if err != nil {
				t.Fatal(err)
			}
			var count [3]int64
			for _, cut := range got.cuts {
				for _, q := range cut.parts {
					m := q.ring.Box()
					class := z.measurePart(cut.member, q.ring).class()
					inside := m.Min.X > inner.Min.X && m.Max.X < inner.Max.X && m.Min.Y > inner.Min.Y && m.Max.Y < inner.Max.Y
					if class == 3 || class > 0 && inside {
						count[3-class]++
					}
				}
			}
			if !slices.Equal(count[:], want[:rankLacks]) {
				t.Errorf("%s at %v: %v count, one by one %v", pattern, o, want[:rankLacks], count)
			}
		}
		if off > n/10 {
			t.Errorf("%s: %d of %d origins are not weighed as laid", pattern, off, n)
		}
	}
}
