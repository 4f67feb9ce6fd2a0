package takeoff

import (
	"math/rand/v2"
	"slices"
	"testing"

	"potlife/rooms"
)

// TestTilesWithinTheCell: the tiles picked for a window from those of the whole cell
// are the ones collected for it alone, with the same edges.
func TestTilesWithinTheCell(t *testing.T) {
	for _, p := range everyPattern() {
		c, _, _ := coupledSearch(t, p, ruggedFloor())
		if c == nil {
			continue
		}
		r := rand.New(rand.NewPCG(6, 2))
		cell := c.cell()
		c.all, c.allFrom = slices.Clone(c.collect(cell)), cell
		for range cases(20, 400) {
			var w rooms.Box
			w.Min.X = cell.Min.X + rooms.Length(r.Int64N(int64(cell.Width())))
			w.Min.Y = cell.Min.Y + rooms.Length(r.Int64N(int64(cell.Height())))
			w.Max.X = w.Min.X + rooms.Length(r.Int64N(int64(cell.Max.X-w.Min.X)+1))
			w.Max.Y = w.Min.Y + rooms.Length(r.Int64N(int64(cell.Max.Y-w.Min.Y)+1))
			if r.IntN(4) == 0 {
				w.Max = w.Min
			}
			got, want := slices.Clone(c.within(w)), c.collect(w)
			if len(want) == 0 || !slices.EqualFunc(got, want, sameTile) {
				t.Fatalf("%s: %d tiles are picked for %v, %d collected, or they differ", p.name, len(got), w, len(want))
			}
		}
	}
}

func sameTile(x, y *borderTile) bool {
	return x.member == y.member && x.row == y.row && x.index == y.index && *x.from == *y.from &&
		slices.Equal(x.ring, y.ring) && slices.Equal(x.edges, y.edges) && slices.Equal(x.sides, y.sides)
}

// TestSlab: what is taken is not given out again before it is given back.
func TestSlab(t *testing.T) {
	var s slab[int]
	r := rand.New(rand.NewPCG(1, 9))
	var taken [][]int
	for k := range 500 {
		x := s.take(1 + r.IntN(70))
		for i := range x {
			x[i] = k
		}
		if k%3 == 0 {
			s.back(len(x))
			x = nil
		}
		taken = append(taken, x)
	}
	for k, x := range taken {
		if cap(x) != len(x) || slices.ContainsFunc(x, func(v int) bool { return v != k }) {
			t.Fatalf("the room taken as number %d holds %v, of %d", k, x, cap(x))
		}
	}
	s.empty()
	if a, b := s.take(1), s.take(1); &a[0] == &b[0] {
		t.Error("one place is given out twice")
	}
}
