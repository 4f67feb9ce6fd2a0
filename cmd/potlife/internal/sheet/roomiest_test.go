package sheet

import (
	"math"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
)

func ring(xy ...float64) []plandoc.Point {
	var out []plandoc.Point
	for i := 0; i < len(xy); i += 2 {
		out = append(out, plandoc.Point{plandoc.MM(xy[i]), plandoc.MM(xy[i+1])})
	}
	return out
}

func circle(x, y, r float64, n int) []plandoc.Point {
	var out []plandoc.Point
	for i := range n {
		a := -2 * math.Pi * float64(i) / float64(n) // clockwise, as holes are
		out = append(out, plandoc.Point{plandoc.MM(x + r*math.Cos(a)), plandoc.MM(y + r*math.Sin(a))})
	}
	return out
}

func TestWordsStandInsideTheirPiece(t *testing.T) {
	for name, c := range map[string]struct {
		p    plandoc.Polygon
		want box // zero: only inside
	}{
		"whole":       {plandoc.Polygon{Outer: ring(0, 0, 600, 0, 600, 300, 0, 300)}, box{0, 0, 600, 300}},
		"notched":     {plandoc.Polygon{Outer: ring(0, 0, 600, 0, 600, 300, 500, 300, 500, 40, 0, 40)}, box{500, 0, 600, 300}},
		"with a door": {plandoc.Polygon{Outer: ring(0, 0, 20, 0, 20, 250, 600, 250, 600, 300, 0, 300)}, box{0, 250, 600, 300}},
		"with a pipe": {plandoc.Polygon{Outer: ring(0, 0, 300, 0, 300, 300, 0, 300), Holes: [][]plandoc.Point{circle(150, 150, 60, 40)}}, box{}},
		"slanted":     {plandoc.Polygon{Outer: ring(0, 0, 300, 0, 0, 300)}, box{}},
	} {
		got := roomiest(c.p)
		if c.want != (box{}) && got != c.want {
			t.Errorf("%s: words in %v, want %v", name, got, c.want)
		}
		if got.w() < 15 || got.h() < 15 || !holdsBox(append([][]plandoc.Point{c.p.Outer}, c.p.Holes...), got) {
			t.Errorf("%s: words in %v, which is not inside or too small", name, got)
		}
	}
}
