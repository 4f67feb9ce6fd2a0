package nest

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Pieces made alike are no larger, need the same sides in the same turns, and need no more tiles, however few sizes are
// left.
func TestAlikePiecesNeedNoMore(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 1))
	fewer := 0
	for n := range 60 {
		p := randomOffcuts(r, 6)
		want := bruteTiles(p, 0)
		if want < 0 {
			continue
		}
		l := newLikeness(&p)
		for most := l.count; most >= 1; most -= 2 {
			l.reduce(most)
			q := l.problem(&p)
			i := 0
			for _, piece := range p.Pieces {
				if piece.Whole {
					continue
				}
				if e := q.Pieces[i]; e.W > piece.W || e.H > piece.H || e.Factory != piece.Factory || e.Turns != piece.Turns {
					t.Fatalf("case %d: %+v became %+v", n, piece, e)
				}
				i++
			}
			if i != len(q.Pieces) {
				t.Fatalf("case %d: %d pieces became %d", n, i, len(q.Pieces))
			}
			whole := len(p.Pieces) - i
			got := bruteTiles(q, 0) + whole
			if got > want {
				t.Fatalf("case %d, %d sizes: %d tiles, the pieces themselves need %d\n%+v\n%+v", n, most, got, want, p, q)
			}
			if got < want {
				fewer++
			}
			s, _ := fitterOf(&q)
			if b := s.bounded(len(q.Pieces)).bound + whole; b > want {
				t.Fatalf("case %d, %d sizes: bound %d, brute force %d", n, most, b, want)
			}
		}
	}
	if fewer == 0 {
		t.Error("sizes were never made alike at the cost of the bound: the test tests nothing")
	}
}

// With more sizes than are bounded at once, a building's bound stays below its plan, and comes near it.
func TestBuildingsAreBounded(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 2))
	for n := range 3 {
		p := OffcutProblem{TileW: 2_400_000, TileH: 4_800_000, Kerf: 12_800}
		for room := range 12 {
			part := course(r, 60, 40_000)
			for i, q := range part.Pieces {
				if q.Factory == NoSides && i%4 > 0 {
					continue
				}
				q.Rank += 100 * room
				q.Turns = HalfTurns
				p.Pieces = append(p.Pieces, q)
			}
		}
		got, err := SolveOffcuts(t.Context(), p, Options{Steps: 15_000_000})
		if err != nil {
			t.Fatal(err)
		}
		if err := CheckOffcuts(p, got); err != nil {
			t.Fatal(err)
		}
		s, _ := fitterOf(&p)
		if area := s.areaBound(); len(s.f.kinds) <= manyKinds || got.Bound < area || 20*(got.Tiles-got.Bound) > got.Tiles {
			t.Errorf("case %d: %d kinds, area %d: %s", n, len(s.f.kinds), area, got.Sentence())
		}
	}
}

// The greatest worth of what one tile or offcut holds, where pieces that smaller and no less worthy ones can replace are
// not looked at, against all sets of pieces.
func TestPricingAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 3))
	for n := range 150 {
		p := randomOffcuts(r, 6)
		for i := range p.Pieces {
			p.Pieces[i].Whole = false
			if i > 0 && r.IntN(2) == 0 { // like the one before, or smaller
				p.Pieces[i] = p.Pieces[i-1]
				if q := &p.Pieces[i]; !q.Factory.has(Left | Right) {
					q.W = max(1, q.W-r.Int64N(3))
				}
			}
		}
		s, kindOf := fitterOf(&p)
		if s == nil {
			continue
		}
		q := offcutPricer{s: s, demand: s.demand, in: s.holder(-1), nodes: 100_000, weight: make([]int64, len(s.demand))}
		for range s.demand {
			q.worth = append(q.worth, r.Int64N(5)) // many alike
		}
		brute := cutter{p: p, seen: map[cutKey]bool{}}
		var want int64
		for set := uint(1); set < 1<<len(p.Pieces); set++ {
			var v int64
			for _, k := range membersOf(set, kindOf) {
				v += q.worth[k]
			}
			if v > want && brute.fits(set, p.TileW, p.TileH, AllSides) {
				want = v
			}
		}
		q.run(0)
		if q.best != want || q.upper != want {
			t.Fatalf("case %d: best %d, at most %d, brute force %d\n%+v\n%v", n, q.best, q.upper, want, p, q.worth)
		}
	}
}

// The relaxation by column generation, plain and with smoothed duals, against an outside solver on all maximal patterns at
// once.
func TestOffcutRelaxationAgainstOutsideSolver(t *testing.T) {
	solve := outsideSolver(t)
	r := rand.New(rand.NewPCG(23, 4))
	for n := range 4 {
		p := course(r, 14+6*n, 20_000)
		all, _ := fitterOf(&p)
		if all.listAll(); !all.complete {
			t.Fatalf("case %d: too many patterns to list", n)
		}
		c := &cover{}
		for _, d := range all.demand {
			c.demand = append(c.demand, int64(d))
		}
		for _, pat := range all.pool {
			c.cols = append(c.cols, pat.group.column())
		}
		want := solve(c.linearProgram())
		for _, smooth := range []bool{false, true} {
			s, _ := fitterOf(&p)
			x := s.newRelaxation(s.everything(), nil)
			if smooth {
				x.begun = -hardSteps
			}
			for rounds := 0; !x.solved; rounds++ {
				x.takePool()
				x.enterKnown()
				if x.price(); rounds > 1000 {
					t.Fatal("does not come to an end")
				}
			}
			if (x.centre != nil) != smooth {
				t.Fatalf("case %d: smoothed %v, want %v", n, x.centre != nil, smooth)
			}
			if got := x.lp.objective(); math.Abs(got-want) > 1e-4*(1+want) || x.bound != int(math.Ceil(want-1e-6)) {
				t.Errorf("case %d, smoothed %v: relaxation %.6f with bound %d, outside solver %.6f over %d patterns",
					n, smooth, got, x.bound, want, len(c.cols))
			}
		}
	}
}
