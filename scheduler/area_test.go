package scheduler

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// wall is a hand-made layout of courses by columns full tiles of 200 mm.
func wall(courses, columns int, shift rooms.Length) *takeoff.Layout {
	const side, joint = 200 * mm, 3 * mm
	z := takeoff.ZoneLayout{Zone: rooms.Zone{Key: "z", Pattern: "offset 1/2", Joint: joint, Mortar: "bed"}, Plumb: rooms.Length(columns) * (side + joint) / 2}
	for c := range courses {
		for k := range columns {
			x, y := rooms.Length(k)*(side+joint)+rooms.Length(c%2)*shift, rooms.Length(c)*(side+joint)
			z.Pieces = append(z.Pieces, takeoff.Piece{ID: string(rune('a'+c)) + string(rune('0'+k)), Course: c, Position: k, Tile: "small",
				Full: true, AreaMM2: 40_000, Polygon: rooms.Polygon{Outer: rooms.Ring{{X: x, Y: y}, {X: x + side, Y: y}, {X: x + side, Y: y + side}, {X: x, Y: y + side}}}})
		}
	}
	return &takeoff.Layout{Surface: "j/r/w", Zones: []takeoff.ZoneLayout{z}}
}

func plainItem(_ *takeoff.ZoneLayout, it *item) { it.set, it.bed = 3, bed{"bed", 4} }

// blocksOf are the blocks of a surface in their order.
func blocksOf(l *takeoff.Layout, s *rooms.Surface, fill func(*takeoff.ZoneLayout, *item)) []block {
	return filled(settingOrder(l, s), l, fill)
}

func TestFieldGrowsInSteps(t *testing.T) {
	l := wall(3, 5, 100*mm)
	blocks := blocksOf(l, &rooms.Surface{Key: "w", Kind: rooms.Wall}, plainItem)
	if len(blocks) != 3 {
		t.Fatalf("%d rows, want 3 courses", len(blocks))
	}
	got := ""
	for _, it := range ordered(blocks) {
		got += it.piece.ID + " "
	}
	want := "a2 a1 a3 b1 b2 a0 a4 b0 b3 c2 c1 c3 b4 c0 c4 "
	if len(got) != len(want) || got[:2] != "a2" {
		t.Fatalf("order %s", got)
	}
	held(t, l, got)
}

// held checks an order piece by piece against the two rules: nothing under a
// piece that is up, no gap closed.
func held(t *testing.T, l *takeoff.Layout, order string) {
	t.Helper()
	turn := map[string]int{}
	for i := 0; i+2 < len(order)+1; i += 3 {
		turn[order[i:i+2]] = i
	}
	p := l.Zones[0].Pieces
	for i := range p {
		left, right := false, false
		for k := range p {
			if turn[p[k].ID] > turn[p[i].ID] || i == k {
				continue
			}
			a, b := p[i].Polygon.Outer, p[k].Polygon.Outer
			if b[0].Y > a[0].Y && b[0].Y-a[2].Y <= 3*mm && min(a[1].X, b[1].X)-max(a[0].X, b[0].X) > 5*mm {
				t.Errorf("%s goes in under %s", p[i].ID, p[k].ID)
			}
			if p[k].Course == p[i].Course {
				left = left || p[k].Position == p[i].Position-1
				right = right || p[k].Position == p[i].Position+1
			}
		}
		if left && right {
			t.Errorf("%s closes a gap", p[i].ID)
		}
	}
}

func TestLedgerCarriesTheField(t *testing.T) {
	l := wall(4, 3, 0)
	l.Zones[0].LevelLine = 203 * mm
	blocks := blocksOf(l, &rooms.Surface{Key: "w", Kind: rooms.Wall, Ledger: true}, plainItem)
	for i, b := range blocks {
		if b.lower != (i == 0) {
			t.Errorf("row %d: under the ledger is %v", i, b.lower)
		}
	}
	if together(blocks[0], blocks[1]) {
		t.Error("the course under the ledger shares an area with the field")
	}
}

func TestFloorEndsAtTheDoor(t *testing.T) {
	l := wall(4, 3, 0)
	l.Outline = rooms.Polygon{Outer: rooms.Ring{{}, {X: 606 * mm}, {X: 606 * mm, Y: 809 * mm}, {Y: 809 * mm}}}
	for edge, last := range map[int]string{0: "a", 2: "d"} {
		s := rooms.Surface{Key: "w", Kind: rooms.Floor, Outline: l.Outline.Outer, Edges: make([]rooms.Edge, 4)}
		s.Edges[edge].Meets = rooms.Doorway
		items := ordered(blocksOf(l, &s, plainItem))
		if got := items[len(items)-1].piece.ID[:1]; got != last {
			t.Errorf("door at edge %d: the last piece is in course %s, want %s", edge, got, last)
		}
	}
}

// The stops are as few as brute force finds, and their harm no more.
func TestStopsAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 300 {
		n := 1 + r.IntN(9)
		var blocks []block
		for i := range n {
			blocks = append(blocks, block{minutes: float64(5 + r.IntN(60)), first: i == 0 || r.IntN(4) == 0, loud: r.IntN(5) == 0})
		}
		limit := float64(65 + r.IntN(90)) // no block is longer: those are split elsewhere
		most := caps{limit, 65 + float64(r.IntN(int(limit)-64))}
		got := splitBlocks(blocks, most)
		harm := 0
		for _, g := range got {
			harm += harmOf(blocks, g.to)
		}
		areas, least := math.MaxInt, 0
		for mask := range 1 << (n - 1) {
			k, h, sum, ok, loud := 1, 0, 0.0, true, false
			for i, b := range blocks {
				if i > 0 && mask>>(i-1)&1 == 1 {
					k++
					h += harmOf(blocks, i)
					sum, loud = 0, false
				}
				sum, loud = sum+b.minutes, loud || b.loud
				ok = ok && sum <= most.of(loud)
			}
			if ok && (k < areas || k == areas && h < least) {
				areas, least = k, h
			}
		}
		if len(got) != areas || harm != least {
			t.Fatalf("%v, limit %g: %d areas with harm %d, brute force %d with %d", blocks, limit, len(got), harm, areas, least)
		}
		if bound := areasAtLeast(blocks, limit); bound > areas {
			t.Fatalf("bound %d over %d areas", bound, areas)
		}
	}
}

// A patch is no larger than setting rate × open time × 0.7 (derived from the
// rule that mortar is spread no further than can be tiled before it skins).
func TestPatchesKeepTheOpenTime(t *testing.T) {
	l := wall(6, 8, 0)
	blocks := blocksOf(l, &rooms.Surface{Key: "w", Kind: rooms.Wall}, plainItem)
	sp := spread{open: 14, bucket: 20, speed: 1, setUp: 10, end: 10}
	areas, err := areasOf(newAreaRun(blocks, sp, caps{150, 150}, 150), caps{120, 120}, caps{240, 240})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, a := range areas {
		if a.minutes > 120 {
			t.Errorf("an area of %d min, the limit is 120", a.minutes)
		}
		for _, q := range a.patches {
			n += len(q.items)
			if q.set-q.start > 14 || len(q.items) > 4 { // 3 min a piece
				t.Errorf("a patch of %d pieces in %d min", len(q.items), q.set-q.start)
			}
		}
	}
	if n != 48 {
		t.Errorf("%d pieces in patches, want 48", n)
	}
	sp.capM2 = 0.08
	capped, _ := patchesOf(blocks[0].items, sp)
	if len(capped) != 4 {
		t.Errorf("%d patches under a cap of two tiles, want 4", len(capped))
	}
}

func TestReadyMixedHasNoWater(t *testing.T) {
	p := takeoff.Product{Key: "paste", Kind: takeoff.KindMortar, Sheet: takeoff.DataSheet{ReadyMixed: true}}
	m := mixesOf("c", p, []feed{patchFeed(0, 100, 3, endless), patchFeed(1, 900, 3, endless)}, mixSize{bucket: defaultBucket})
	if len(m) != 1 || m[0].UseBy != -1 || m[0].PotMinutes != 0 {
		t.Errorf("got %+v", m)
	}
}

func TestGangs(t *testing.T) {
	r := DefaultRates
	cases := []struct {
		setters, helpers, people int
		want                     gang
	}{
		{1, 1, 2, gang{1, 1, 1}},
		{1, 0, 2, gang{1, 0, r.SingleSetter}},
		{1, 1, 1, gang{1, 0, r.SingleSetter}}, // no room for the helper
		{2, 2, 4, gang{2, 2, 2}},
		{2, 1, 3, gang{2, 1, 2 * (r.SingleSetter + (1-r.SingleSetter)/2)}},
	}
	for _, c := range cases {
		got := gangOf(Crew{Setters: c.setters, Helpers: c.helpers}, c.people, r)
		if got.setters != c.want.setters || got.helpers != c.want.helpers || math.Abs(got.speed-c.want.speed) > 1e-9 {
			t.Errorf("%d setters, %d helpers, %d people: %+v, want %+v", c.setters, c.helpers, c.people, got, c.want)
		}
	}
	if slices.Contains([]float64{r.SetWallPerM2, r.PerPiece, r.GroutPerM2, r.SealPerM}, 0) {
		t.Error("a default rate is missing")
	}
}

// Whatever the shift of the courses, the window left out and the plumb line, the
// order is a linear extension.
func FuzzSettingOrder(f *testing.F) {
	f.Add(uint8(3), uint8(5), uint8(100), uint8(1), uint8(2))
	f.Add(uint8(6), uint8(8), uint8(66), uint8(2), uint8(0))
	f.Add(uint8(1), uint8(1), uint8(0), uint8(0), uint8(9))
	f.Fuzz(func(t *testing.T, courses, columns, shift, gap, plumb uint8) {
		l := wall(1+int(courses%8), 1+int(columns%9), rooms.Length(shift)*mm)
		z := &l.Zones[0]
		z.Plumb = rooms.Length(plumb) * 10 * mm
		z.Pieces = slices.DeleteFunc(z.Pieces, func(p takeoff.Piece) bool {
			return p.Course > 0 && p.Course <= int(gap%4) && p.Position > 0 && p.Position <= int(gap%3)
		})
		if len(z.Pieces) == 0 {
			return
		}
		order, n := "", 0
		for _, it := range ordered(blocksOf(l, &rooms.Surface{Key: "w", Kind: rooms.Wall}, plainItem)) {
			order += it.piece.ID + " "
			n++
		}
		if n != len(z.Pieces) {
			t.Fatalf("%d pieces in order, %d on the wall", n, len(z.Pieces))
		}
		held(t, l, order)
	})
}
