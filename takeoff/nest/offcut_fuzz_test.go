package nest

import (
	"context"
	"math/rand/v2"
	"reflect"
	"testing"
)

// course draws the cut pieces of a tiled wall with random tolerances: full-height strips at both ends, a cut course on
// top, corners, and a few strips with no factory edge.
func course(r *rand.Rand, n int, tolerance int64) OffcutProblem {
	p := OffcutProblem{TileW: 2_400_000, TileH: 4_800_000, Kerf: r.Int64N(3) * 12_800, SmallestKept: 320_000}
	near := func(x, most int64) int64 { return min(most, max(1, x+r.Int64N(2*tolerance+1)-tolerance)) }
	left, right, top := 1+r.Int64N(p.TileW-1), 1+r.Int64N(p.TileW-1), 1+r.Int64N(p.TileH-1)
	turns := []Turn{Turn0, HalfTurns, AnyTurn}[r.IntN(3)]
	for i := range n {
		q := Piece{Turns: turns, Rank: i / 4}
		switch r.IntN(6) {
		case 0, 1:
			q.W, q.H, q.Factory = near(left, p.TileW-1), p.TileH, AllSides&^Left
		case 2:
			q.W, q.H, q.Factory = near(right, p.TileW-1), p.TileH, AllSides&^Right
		case 3:
			q.W, q.H, q.Factory = p.TileW, near(top, p.TileH-1), AllSides&^Top
		case 4:
			q.W, q.H, q.Factory = near(left, p.TileW-1), near(top, p.TileH-1), Right|Bottom
		default:
			q.W, q.H = near(left/3+1, p.TileW), near(top/2+1, p.TileH)
		}
		p.Pieces = append(p.Pieces, q)
	}
	return p
}

func TestOffcutsOfWalls(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for n := range 12 {
		p := course(r, 5+r.IntN(60), r.Int64N(100_000))
		got, err := SolveOffcuts(context.Background(), p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := CheckOffcuts(p, got); err != nil {
			t.Fatalf("case %d: %v", n, err)
		}
		if got.Tiles-got.Bound > 1+got.Bound/10 {
			t.Errorf("case %d: %s", n, got.Sentence())
		}
		// What is left serves a plan of the same pieces again, which then needs no more tiles.
		p.Stock = got.Left
		again, err := SolveOffcuts(context.Background(), p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := CheckOffcuts(p, again); err != nil {
			t.Fatalf("case %d with stock: %v", n, err)
		}
		if again.Bound > got.Tiles || got.Status == Optimal && again.Status == Optimal && again.Tiles > got.Tiles {
			t.Errorf("case %d: %s; with stock %s", n, got.Sentence(), again.Sentence())
		}
	}
}

func TestOffcutsStopAndRepeat(t *testing.T) {
	p := course(rand.New(rand.NewPCG(5, 7)), 80, 50_000)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	stopped, err := SolveOffcuts(ctx, p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := CheckOffcuts(p, stopped); err != nil {
		t.Fatal(err)
	}
	a, _ := SolveOffcuts(context.Background(), p, Options{Steps: 1_000_000})
	b, _ := SolveOffcuts(context.Background(), p, Options{Steps: 1_000_000})
	if !reflect.DeepEqual(a, b) {
		t.Error("the same problem gave another plan")
	}
	if stopped.Bound > a.Tiles || a.Bound > stopped.Tiles {
		t.Errorf("stopped: %s; in full: %s", stopped.Sentence(), a.Sentence())
	}
}

// The checker must see each kind of fault.
func TestCheckOffcutsSeesFaults(t *testing.T) {
	p := OffcutProblem{TileW: 300, TileH: 600, Kerf: 2, SmallestKept: 10, Pieces: []Piece{
		{W: 100, H: 600, Factory: AllSides &^ Right}, {W: 120, H: 600, Factory: AllSides &^ Left, Rank: 3}}}
	good, err := SolveOffcuts(context.Background(), p, Options{})
	if err != nil || good.Tiles != 1 {
		t.Fatalf("%v, %v", good, err)
	}
	for name, spoil := range map[string]func(*OffcutResult){
		"outside":       func(r *OffcutResult) { r.Placements[1].X++ },
		"off its edge":  func(r *OffcutResult) { r.Placements[0].X++ },
		"overlap":       func(r *OffcutResult) { r.Placements[0].W, r.Placements[1].X = 100, 0 },
		"wrong turn":    func(r *OffcutResult) { r.Placements[0].Turn = Turn180 },
		"wrong size":    func(r *OffcutResult) { r.Placements[0].W = 90 },
		"empty tile":    func(r *OffcutResult) { r.Tiles, r.Bound = 2, 2 },
		"bound too big": func(r *OffcutResult) { r.Bound = 2 },
		"opened late":   func(r *OffcutResult) { r.Placements[0].Opens, r.Placements[1].Opens = false, true },
		"reach":         func(r *OffcutResult) { r.Reach = 2 },
		"fat offcut":    func(r *OffcutResult) { r.Left[0].W += 10 },
		"false edge":    func(r *OffcutResult) { r.Left[0].Factory |= Left },
		"no such tile":  func(r *OffcutResult) { r.Placements[0].Tile = 4 },
	} {
		bad, _ := SolveOffcuts(context.Background(), p, Options{})
		spoil(&bad)
		if CheckOffcuts(p, bad) == nil {
			t.Errorf("%s: not seen", name)
		}
	}
}

func FuzzOffcuts(f *testing.F) {
	f.Add(uint64(1), uint8(10), int64(5_000))
	f.Add(uint64(2), uint8(40), int64(100_000))
	f.Add(uint64(3), uint8(25), int64(0))
	f.Fuzz(func(t *testing.T, seed uint64, n uint8, tolerance int64) {
		p := course(rand.New(rand.NewPCG(seed, 1)), int(n%64), abs64(tolerance)%1_000_000)
		got, err := SolveOffcuts(context.Background(), p, Options{Steps: 300_000, Reach: int(seed % 5)})
		if err != nil {
			t.Fatal(err)
		}
		if err := CheckOffcuts(p, got); err != nil {
			t.Fatal(err)
		}
		sameCount(t, p, Options{Steps: 300_000, Reach: int(seed % 5)}, got)
	})
}

func BenchmarkOffcuts(b *testing.B) {
	p := course(rand.New(rand.NewPCG(5, 8)), 100, 20_000)
	for b.Loop() {
		if _, err := SolveOffcuts(context.Background(), p, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
