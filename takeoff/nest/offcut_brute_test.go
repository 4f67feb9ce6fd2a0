package nest

import (
	"context"
	"math/bits"
	"math/rand/v2"
	"testing"
)

// cutter decides by trying every cut position whether a set of pieces comes out of a rectangle. It shares nothing with
// the solver but the problem's types.
type cutter struct {
	p    OffcutProblem
	seen map[cutKey]bool
}

type cutKey struct {
	set  uint
	w, h int64
	edge Sides
}

func (c *cutter) fits(set uint, w, h int64, edge Sides) bool {
	key := cutKey{set, w, h, edge}
	if got, ok := c.seen[key]; ok {
		return got
	}
	got := bits.OnesCount(set) == 1 && c.single(c.p.Pieces[bits.TrailingZeros(set)], w, h, edge)
	if bits.OnesCount(set) > 1 {
		for part := (set - 1) & set; part > 0 && !got; part = (part - 1) & set {
			for x := int64(1); x+c.p.Kerf < w && !got; x++ {
				got = c.fits(part, x, h, edge&^Right) && c.fits(set&^part, w-x-c.p.Kerf, h, edge&^Left)
			}
			for y := int64(1); y+c.p.Kerf < h && !got; y++ {
				got = c.fits(part, w, y, edge&^Top) && c.fits(set&^part, w, h-y-c.p.Kerf, edge&^Bottom)
			}
		}
	}
	c.seen[key] = got
	return got
}

func (c *cutter) single(q Piece, w, h int64, edge Sides) bool {
	turns := q.Turns
	if turns == 0 {
		turns = Turn0
	}
	need, pw, ph := q.Factory, q.W, q.H
	for _, turn := range []Turn{Turn0, Turn90, Turn180, Turn270} {
		if turns&turn != 0 && need&^edge == 0 && pw <= w && ph <= h &&
			(need&(Left|Right) != Left|Right || pw == w) && (need&(Top|Bottom) != Top|Bottom || ph == h) {
			return true
		}
		need, pw, ph = cycleSides(need, Left, Bottom, Right, Top), ph, pw
	}
	return false
}

// bruteTiles is the fewest new tiles by dynamic programming over sets of pieces, or -1.
func bruteTiles(p OffcutProblem, reach int) int {
	c := cutter{p: p, seen: map[cutKey]bool{}}
	all := uint(1)<<len(p.Pieces) - 1
	const never = 1 << 20
	best := make([]int, all+1)
	for i := range best {
		best[i] = never
	}
	best[0] = 0
	alone := func(set uint) bool {
		for i, q := range p.Pieces {
			if q.Whole && set&(1<<i) != 0 {
				return false
			}
		}
		return true
	}
	for _, s := range p.Stock {
		for set := all; set > 0; set-- { // downwards: each offcut once
			for part := set; part > 0; part = (part - 1) & set {
				if best[set&^part] < best[set] && alone(part) && c.fits(part, s.W, s.H, s.Factory) {
					best[set] = best[set&^part]
				}
			}
		}
	}
	near := func(set uint) bool {
		low, high := 1<<30, -1<<30
		for i, q := range p.Pieces {
			if set&(1<<i) != 0 {
				low, high = min(low, q.Rank), max(high, q.Rank)
			}
		}
		return reach == 0 || high-low <= reach
	}
	onTile := make([]bool, all+1) // which sets come from one new tile
	for set := uint(1); set <= all; set++ {
		onTile[set] = near(set) && (bits.OnesCount(set) == 1 || alone(set)) && c.fits(set, p.TileW, p.TileH, AllSides)
	}
	for set := uint(1); set <= all; set++ {
		for part := set; part > 0; part = (part - 1) & set {
			if best[set&^part]+1 < best[set] && onTile[part] {
				best[set] = best[set&^part] + 1
			}
		}
	}
	if best[all] >= never {
		return -1
	}
	return best[all]
}

// sameCount holds CountOffcuts to what a plan spelled out takes.
func sameCount(t *testing.T, p OffcutProblem, o Options, plan OffcutResult) {
	t.Helper()
	tiles, bound, err := CountOffcuts(context.Background(), p, o)
	if err != nil || tiles != plan.Tiles || bound != plan.Bound {
		t.Errorf("counted %d of at least %d, %v; the plan takes %d of at least %d\n%+v", tiles, bound, err, plan.Tiles, plan.Bound, p)
	}
}

func TestOffcutsAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	proved := 0
	const cases = 800
	for n := range cases {
		p := randomOffcuts(r, 6)
		o := Options{Reach: max(0, r.IntN(6)-2)}
		got, err := SolveOffcuts(context.Background(), p, o)
		if err != nil {
			t.Fatal(err)
		}
		if err := CheckOffcuts(p, got); err != nil {
			t.Fatalf("case %d: %v\n%+v\n%+v", n, err, p, got)
		}
		sameCount(t, p, o, got)
		want := bruteTiles(p, o.Reach)
		switch {
		case want < 0 != (got.Status == Infeasible):
			t.Fatalf("case %d: %v, brute force %d\n%+v", n, got.Status, want, p)
		case want >= 0 && (got.Bound > want || got.Tiles < want || got.Status == Optimal && got.Tiles != want):
			t.Fatalf("case %d: %s, brute force %d\n%+v", n, got.Sentence(), want, p)
		case got.Status != Feasible:
			proved++
		}
	}
	if proved < cases {
		t.Errorf("proved %d of %d", proved, cases)
	}
}
