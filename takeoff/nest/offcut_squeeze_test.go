package nest

import (
	"math/rand/v2"
	"testing"
)

// A squeezed plan still cuts every piece, from tiles and stock that hold what they are said to, and is never below what
// brute force needs. Most plans that first fit leaves above it come down to it.
func TestSqueezedPlansHold(t *testing.T) {
	r := rand.New(rand.NewPCG(22, 1))
	better, best, worse := 0, 0, 0
	for n := range 60 {
		p := OffcutProblem{TileW: 20, TileH: 1, Kerf: r.Int64N(2)}
		for range 7 {
			q := Piece{W: 3 + r.Int64N(8), H: 1, Turns: HalfTurns}
			if r.IntN(3) == 0 {
				q.Factory = Sides(r.IntN(4))
			}
			p.Pieces = append(p.Pieces, q)
		}
		s, _ := fitterOf(&p)
		s.take(s.firstFit(s.everything()))
		before := s.tiles
		s.shrink(squeezeTries, s.steps)
		if s.tiles > before {
			t.Fatalf("case %d: %d tiles became %d", n, before, s.tiles)
		}
		checkPlan(t, s, s.best)
		want := bruteTiles(p, 0)
		if s.tiles+len(s.whole) < want {
			t.Fatalf("case %d: %d tiles, brute force needs %d\n%+v", n, s.tiles+len(s.whole), want, p)
		}
		switch {
		case s.tiles+len(s.whole) > want:
			worse++
		case s.tiles < before:
			better++
		default:
			best++
		}
	}
	if better < 2 || worse > better {
		t.Errorf("%d plans were best, %d became so, %d did not", best, better, worse)
	}
}

func TestSqueezeOfWalls(t *testing.T) {
	r := rand.New(rand.NewPCG(22, 2))
	for range 20 {
		p := course(r, 20+r.IntN(60), r.Int64N(100_000))
		p.Stock = []Offcut{{W: p.TileW / 2, H: p.TileH, Factory: AllSides &^ Right}, {W: p.TileW, H: p.TileH / 3}}
		s, _ := fitterOf(&p)
		s.take(s.firstFit(s.everything()))
		before := s.tiles
		s.shrink(squeezeTries, s.steps)
		if s.tiles > before {
			t.Fatalf("%d tiles became %d", before, s.tiles)
		}
		checkPlan(t, s, s.best)
	}
}

// checkPlan holds a plan against its demand.
func checkPlan(t *testing.T, s *offcutSolver, plan []load) {
	t.Helper()
	have := make([]int, len(s.demand))
	used := map[int]int{}
	for _, l := range plan {
		if !s.fitsIn(l.group, l.stock) || l.count < 1 {
			t.Fatalf("%d of %v do not come from stock %d", l.count, l.group.members, l.stock)
		}
		if used[l.stock] += l.count; l.stock >= 0 && used[l.stock] > 1 {
			t.Fatalf("stock %d is cut %d times", l.stock, used[l.stock])
		}
		for _, k := range l.group.members {
			have[k] += l.count
		}
	}
	for k, d := range s.demand {
		if have[k] < d {
			t.Fatalf("%d pieces of kind %d, want %d", have[k], k, d)
		}
	}
}
