package nest

import (
	"context"
	"errors"
	"math/bits"
	"math/rand/v2"
	"reflect"
	"testing"
)

func TestSolveSheetsTable(t *testing.T) {
	tests := []struct {
		name   string
		kerf   int64
		rotate bool
		items  []SheetItem
		sheets int
	}{
		{"nothing", 2, false, nil, 0},
		{"a whole sheet", 2, false, []SheetItem{{100, 60}}, 1},
		{"turned only", 2, true, []SheetItem{{60, 100}}, 1},
		{"two halves, no kerf", 0, false, []SheetItem{{50, 60}, {50, 60}}, 1},
		{"two halves and a kerf", 2, false, []SheetItem{{50, 60}, {50, 60}}, 2},
		{"room for the kerf", 2, false, []SheetItem{{49, 60}, {49, 60}}, 1},
		{"a strip along and two beside", 0, false, []SheetItem{{100, 20}, {50, 40}, {50, 40}}, 1},
		{"four and a rest", 2, false, []SheetItem{{49, 29}, {49, 29}, {49, 29}, {49, 29}, {10, 10}}, 2},
		{"three that never share", 0, false, []SheetItem{{51, 31}, {50, 30}, {51, 31}}, 3},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := SheetProblem{W: 100, H: 60, Kerf: tt.kerf, Rotate: tt.rotate, Items: tt.items}
			if r := mustSheets(t, p, Options{Steps: 200_000}); r.Sheets != tt.sheets {
				t.Errorf("%v: %s, want %d sheets", r.Status, r.Sentence(), tt.sheets)
			}
		})
	}
}

func mustSheets(t *testing.T, p SheetProblem, o Options) SheetResult {
	t.Helper()
	r, err := SolveSheets(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	if err := CheckSheets(p, r); err != nil {
		t.Fatalf("%v\n%+v\n%+v", err, p, r)
	}
	return r
}

func TestSolveSheetsRefuses(t *testing.T) {
	for _, p := range []SheetProblem{{}, {W: 10, H: 10, Kerf: -1}, {W: 10, H: 10, Items: []SheetItem{{3, 0}}}, {W: maxSide + 1, H: 1}} {
		if _, err := SolveSheets(context.Background(), p, Options{}); !errors.Is(err, ErrProblem) {
			t.Errorf("%+v: error %v, want ErrProblem", p, err)
		}
	}
	r, err := SolveSheets(context.Background(), SheetProblem{W: 10, H: 5, Items: []SheetItem{{5, 10}}}, Options{})
	if err != nil || r.Status != Infeasible {
		t.Errorf("an item that fits turned only: %v, %v", r.Status, err)
	}
}

// bruteSheets is the fewest sheets by trying every cut position, over all assignments.
func bruteSheets(p SheetProblem) int {
	o := OffcutProblem{TileW: p.W, TileH: p.H, Kerf: p.Kerf}
	turns := Turn0
	if p.Rotate {
		turns = AnyTurn
	}
	for _, q := range p.Items {
		o.Pieces = append(o.Pieces, Piece{W: q.W, H: q.H, Turns: turns})
	}
	c := cutter{p: o, seen: map[cutKey]bool{}}
	all := uint(1)<<len(p.Items) - 1
	best := make([]int, all+1)
	for set := uint(1); set <= all; set++ {
		best[set] = bits.OnesCount(set)
		for part := set; part > 0; part = (part - 1) & set {
			if 1+best[set&^part] < best[set] && c.fits(part, p.W, p.H, NoSides) {
				best[set] = 1 + best[set&^part]
			}
		}
	}
	return best[all]
}

func randomSheets(r *rand.Rand, most int) SheetProblem {
	p := SheetProblem{W: 5 + r.Int64N(6), H: 5 + r.Int64N(6), Kerf: r.Int64N(2), Rotate: r.IntN(2) == 0}
	for range 1 + r.IntN(most) {
		p.Items = append(p.Items, SheetItem{1 + r.Int64N(p.W), 1 + r.Int64N(p.H)})
	}
	return p
}

func TestSheetsAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	const cases = 250
	best := 0
	for n := range cases {
		p := randomSheets(r, 6)
		got, want := mustSheets(t, p, Options{Steps: 50_000}), bruteSheets(p)
		if got.Bound > want || got.Sheets < want {
			t.Fatalf("case %d: %s, brute force %d\n%+v", n, got.Sentence(), want, p)
		}
		if got.Sheets == want {
			best++
		}
	}
	if best < cases*99/100 {
		t.Errorf("%d of %d plans are best", best, cases)
	}
}

// A tree of cuts stays sound whatever is put in and taken out.
func TestCutTree(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 2))
	for range 200 {
		s := newSheetSolver(context.Background(), SheetProblem{W: 60, H: 40, Rotate: true}, Options{})
		tree := newCutTree(60, 40)
		for range 120 {
			leaves := tree.leaves()
			if len(leaves) > 0 && r.IntN(3) == 0 {
				tree.take(leaves[r.IntN(len(leaves))])
			} else {
				s.items = append(s.items, SheetItem{1 + r.Int64N(30), 1 + r.Int64N(30)})
				i := int32(len(s.items) - 1)
				rule := recreation{s: s, rule: r.IntN(3), blink: true}
				if _, o, ok := rule.place(&packing{trees: []*cutTree{tree}}, i); ok {
					tree.put(i, o)
				}
			}
			checkTree(t, tree, s.items)
			if t.Failed() {
				return
			}
		}
	}
}

func checkTree(t *testing.T, tree *cutTree, items []SheetItem) {
	t.Helper()
	var list [][4]int64
	var area int64
	tree.walk(tree.root, 0, 0, func(leaf int32, x, y int64) {
		n := tree.nodes[leaf]
		q := items[n.item]
		if n.turned {
			q.W, q.H = q.H, q.W
		}
		area += q.W * q.H
		list = append(list, [4]int64{x, y, q.W, q.H})
		if x+q.W > 60 || y+q.H > 40 {
			t.Errorf("item at %d, %d of %d × %d leaves the sheet", x, y, q.W, q.H)
		}
	})
	if !edgeToEdge(list, 0) {
		t.Errorf("%v cannot be cut from edge to edge", list)
	}
	if area != tree.area {
		t.Errorf("area %d, noted %d", area, tree.area)
	}
	if fresh := tree.clone().room(); tree.room() != fresh {
		t.Errorf("room %g, noted %g", fresh, tree.room())
	}
	for i, n := range tree.nodes {
		sum := n.slack
		for _, c := range n.children {
			sum += tree.along(c)
		}
		if n.item < 0 && (n.slack < 0 || sum != n.length) {
			t.Errorf("node %d of length %d: slack %d, in all %d", i, n.length, n.slack, sum)
		}
	}
}

func TestSheetsStopAndRepeat(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 3))
	p := SheetProblem{W: 100, H: 100}
	for range 50 {
		p.Items = append(p.Items, SheetItem{5 + r.Int64N(60), 5 + r.Int64N(60)})
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	got, err := SolveSheets(ctx, p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := CheckSheets(p, got); err != nil {
		t.Fatal(err)
	}
	o := Options{Steps: 300_000, Seed: 5}
	if a, b := mustSheets(t, p, o), mustSheets(t, p, o); !reflect.DeepEqual(a, b) {
		t.Error("the same problem gave another plan")
	}
}

func FuzzSheets(f *testing.F) {
	f.Add(uint64(1), uint8(5), int64(100), int64(60), int64(2), true)
	f.Add(uint64(2), uint8(30), int64(24_400_000), int64(12_200_000), int64(24_000), false)
	f.Fuzz(func(t *testing.T, seed uint64, n uint8, w, h, kerf int64, rotate bool) {
		r := rand.New(rand.NewPCG(seed, 0))
		p := SheetProblem{W: 1 + abs64(w)%maxSide, H: 1 + abs64(h)%maxSide, Kerf: abs64(kerf) % 100_000, Rotate: rotate}
		for range n % 40 {
			p.Items = append(p.Items, SheetItem{1 + r.Int64N(p.W), 1 + r.Int64N(p.H)})
		}
		got, err := SolveSheets(context.Background(), p, Options{Steps: 20_000})
		if err != nil {
			t.Fatal(err)
		}
		if err := CheckSheets(p, got); err != nil {
			t.Fatal(err)
		}
	})
}

func BenchmarkSheets(b *testing.B) {
	r := rand.New(rand.NewPCG(9, 4))
	p := SheetProblem{W: 100, H: 100, Rotate: true}
	for range 60 {
		p.Items = append(p.Items, SheetItem{5 + r.Int64N(60), 5 + r.Int64N(60)})
	}
	for b.Loop() {
		if _, err := SolveSheets(context.Background(), p, Options{Steps: 200_000}); err != nil {
			b.Fatal(err)
		}
	}
}

// Sheets chosen from those that the search came through hold the very items asked for, each once, turned or not.
func TestSheetsChosenFromThePool(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 9))
	chosen := 0
	for n := range 6 {
		p := SheetProblem{W: 100, H: 100, Rotate: n%2 == 0}
		for range 6 { // whole sheets, cut by chance
			w, h := 30+r.Int64N(40), 30+r.Int64N(40)
			p.Items = append(p.Items, SheetItem{w, h}, SheetItem{w, 100 - h}, SheetItem{100 - w, 55}, SheetItem{100 - w, 45})
			if p.Rotate { // the same size the other way round
				p.Items[len(p.Items)-1] = SheetItem{45, 100 - w}
			}
		}
		s := newSheetSolver(t.Context(), p, Options{Steps: 1 << 40})
		s.best = s.construct(0, 0).trees
		s.pool = newSheetPool(s)
		now := s.dropOne(s.best)
		s.pool.seek(len(s.best))
		s.startFrom(now)
		s.descend(now, 200)
		found, ok := s.pool.choose(len(s.best))
		if !ok {
			continue
		}
		chosen++
		s.best = found.trees
		if err := CheckSheets(p, s.result()); err != nil {
			t.Fatalf("case %d: %v", n, err)
		}
	}
	if chosen == 0 {
		t.Error("nothing was ever chosen from the pool")
	}
}
