package sheet

import (
	"math"
	"sort"

	"potlife/cmd/potlife/internal/plandoc"
)

// roomiest returns a large upright rectangle inside a piece, where its words
// go. In a piece with upright edges it is the one with the most area among
// those bounded by its corners' coordinates; in any other one of the bounding
// box's proportions about the centroid.
func roomiest(p plandoc.Polygon) box {
	whole := boxOf(p.Outer)
	if len(p.Outer) == 4 && len(p.Holes) == 0 && upright(p.Outer) {
		return whole
	}
	rings := append([][]plandoc.Point{p.Outer}, p.Holes...)
	corners := 0
	square := true
	for _, r := range rings {
		corners += len(r)
		square = square && upright(r)
	}
	if square && corners <= 24 {
		if b, ok := largestBetweenCorners(rings); ok {
			return b
		}
	}
	return largestOfCells(rings, whole)
}

func upright(ring []plandoc.Point) bool {
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if math.Abs(float64(a[0]-b[0])) > 1e-6 && math.Abs(float64(a[1]-b[1])) > 1e-6 {
			return false
		}
	}
	return true
}

func largestBetweenCorners(rings [][]plandoc.Point) (box, bool) {
	var xs, ys []float64
	for _, r := range rings {
		for _, q := range r {
			xs, ys = append(xs, float64(q[0])), append(ys, float64(q[1]))
		}
	}
	sort.Float64s(xs)
	sort.Float64s(ys)
	best, most := box{}, 0.0
	for i, x0 := range xs {
		for _, x1 := range xs[i+1:] {
			for j, y0 := range ys {
				for _, y1 := range ys[j+1:] {
					b := box{x0, y0, x1, y1}
					if a := b.w() * b.h(); a > most+1e-9 && holdsBox(rings, b) {
						best, most = b, a
					}
				}
			}
		}
	}
	return best, most > 0
}

// cells is into how many parts a bounding box is divided, each way, to look
// for room in a piece with slanted or round edges.
const cells = 20

// largestOfCells returns the largest rectangle of whole cells inside the rings,
// the middle of the bounding box where not even one cell is inside.
func largestOfCells(rings [][]plandoc.Point, whole box) box {
	dx, dy := whole.w()/cells, whole.h()/cells
	at := func(i, j, ni, nj int) box {
		x, y := whole.x0+float64(i)*dx, whole.y0+float64(j)*dy
		return box{x, y, x + float64(ni)*dx, y + float64(nj)*dy}
	}
	best, most := at(cells/2, cells/2, 1, 1), 0
	var high [cells]int // inside cells in a row downward, by column
	for j := range cells {
		for i := range cells {
			if holdsBox(rings, at(i, j, 1, 1)) {
				high[i]++
			} else {
				high[i] = 0
			}
		}
		for i := range cells {
			low := cells
			for k := i; k < cells && high[k] > 0; k++ {
				low = min(low, high[k])
				if n := low * (k - i + 1); n > most {
					best, most = at(i, j-low+1, k-i+1, low), n
				}
			}
		}
	}
	return best
}

// holdsBox says whether the inside of b lies inside the rings: its middle does,
// and no edge runs through it.
func holdsBox(rings [][]plandoc.Point, b box) bool {
	if !inside(rings, (b.x0+b.x1)/2, (b.y0+b.y1)/2) {
		return false
	}
	for _, r := range rings {
		for i, p := range r {
			if crossesBox(p, r[(i+1)%len(r)], b) {
				return false
			}
		}
	}
	return true
}

func inside(rings [][]plandoc.Point, x, y float64) bool {
	in := false
	for _, r := range rings {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			ax, ay, bx, by := float64(a[0]), float64(a[1]), float64(b[0]), float64(b[1])
			if (ay > y) != (by > y) && x < ax+(bx-ax)*(y-ay)/(by-ay) {
				in = !in
			}
		}
	}
	return in
}

// crossesBox says whether the segment p–q enters the open inside of b.
func crossesBox(p, q plandoc.Point, b box) bool {
	const touch = 1e-6
	t0, t1 := 0.0, 1.0
	for axis, lim := range [2][2]float64{{b.x0 + touch, b.x1 - touch}, {b.y0 + touch, b.y1 - touch}} {
		from, d := float64(p[axis]), float64(q[axis]-p[axis])
		if d == 0 {
			if from <= lim[0] || from >= lim[1] {
				return false
			}
			continue
		}
		a, z := (lim[0]-from)/d, (lim[1]-from)/d
		t0, t1 = math.Max(t0, math.Min(a, z)), math.Min(t1, math.Max(a, z))
	}
	return t0 < t1
}
