package takeoff

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// realTiles are rectangular tiles in four formats, and a hexagon.
func realTiles() []Tile {
	base := whiteTile()
	list := []Tile{base}
	for i, f := range [][2]rooms.Length{{297 * mm, 297 * mm}, {97 * mm, 97 * mm}, {597*mm + 500*rooms.Micrometre, 298 * mm}, {297 * mm, 72 * mm}} {
		t := base
		t.Key, t.Shape = fmt.Sprintf("t%d", i+1), rooms.Rect(0, 0, f[0], f[1])
		list = append(list, t)
	}
	list[3].Material, list[3].Directional = "porcelain", true
	hex := base
	hex.Key = "hex"
	hex.Shape = rooms.Ring{{X: 100 * mm, Y: 0}, {X: 200 * mm, Y: 58 * mm}, {X: 200 * mm, Y: 173 * mm}, {X: 100 * mm, Y: 231 * mm}, {X: 0, Y: 173 * mm}, {X: 0, Y: 58 * mm}}
	return append(list, hex)
}

var realPatterns = []string{"straight", "offset 1/2", "offset 0,1/3,2/3", "diagonal", "herringbone", "herringbone 45", "hexagon"}

// realRoom draws a room of walls and a floor in random patterns, laid by the
// engine itself.
func realRoom(rng *rand.Rand, key string, tiles []Tile, patterns []string) rooms.Room {
	r := rooms.Room{Key: key, Celsius: 20, People: 2}
	for i := range 1 + rng.IntN(3) {
		w, h := rooms.Length(900+rng.IntN(1700))*mm, rooms.Length(800+rng.IntN(1300))*mm
		ring := rooms.Rect(0, 0, w, h)
		if rng.IntN(4) == 0 {
			ring = rooms.Ring{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h / 2}, {X: w / 2, Y: h / 2}, {X: w / 2, Y: h}, {X: 0, Y: h}}
		}
		s := rooms.Surface{Key: fmt.Sprint("s", i), Kind: []string{rooms.Wall, rooms.Floor}[rng.IntN(2)], Outline: ring, Measured: rng.IntN(5) > 0}
		for range ring {
			gap := rooms.Length(3+rng.IntN(4)) * mm
			s.Edges = append(s.Edges, rooms.Edge{Meets: rooms.InsideCorner, Gap: gap, GapMin: gap - 2*mm, GapMax: gap + 2*mm, Fill: rooms.FillSealant})
		}
		if rng.IntN(2) == 0 {
			x, y := w/4+rooms.Length(rng.IntN(200))*mm, h/4+rooms.Length(rng.IntN(100))*mm
			s.Openings = append(s.Openings, rooms.Opening{Key: "o", Kind: "window", Outline: rooms.Rect(x, y, x+250*mm, y+333*mm), Gap: 3 * mm, GapMin: 2 * mm, GapMax: 5 * mm, Fill: rooms.FillSealant})
		}
		z := rooms.Zone{Key: "z", Pattern: patterns[rng.IntN(len(patterns))], Joint: 3 * mm, Mortar: "fix", Grout: "fill", Sealant: "seal"}
		z.Tile = tiles[rng.IntN(len(tiles)-1)].Key
		if z.Pattern == "hexagon" {
			z.Tile = "hex"
		}
		if z.Pattern == "herringbone" || z.Pattern == "herringbone 45" {
			z.Tile = "t4"
		}
		s.Zones = []rooms.Zone{z}
		r.Surfaces = append(r.Surfaces, s)
	}
	return r
}

// realJob is a job of n such rooms, laid out.
func realJob(t testing.TB, rng *rand.Rand, n int, patterns []string) TakeIn {
	in := TakeIn{Catalogue: testCatalogue(), Today: day("2026-03-02")}
	in.Catalogue.Tiles = realTiles()
	job := rooms.Job{Key: "oak", Sites: []rooms.Site{{Key: "yard"}}}
	for i := range n {
		r := realRoom(rng, fmt.Sprint("bath", i), in.Catalogue.Tiles, patterns)
		if n > 1 && rng.IntN(2) == 0 {
			r.Group = "flat"
		}
		job.Sites[0].Rooms = append(job.Sites[0].Rooms, r)
	}
	in.Jobs = []rooms.Job{job}
	layJob(t, &in)
	return in
}

// layJob lays out the rooms of the job.
func layJob(t testing.TB, in *TakeIn) {
	tiles, products := map[string]Tile{}, map[string]Product{}
	for _, tile := range in.Catalogue.Tiles {
		tiles[tile.Key] = tile
	}
	for _, p := range in.Catalogue.Products {
		products[p.Key] = p
	}
	in.Layouts = nil
	for _, r := range in.Jobs[0].Sites[0].Rooms {
		list, err := LayOut(RoomToLay{Job: in.Jobs[0].Key, Site: "yard", Room: r, Tiles: tiles, Products: products})
		if err != nil {
			t.Fatal(err)
		}
		in.Layouts = append(in.Layouts, list...)
	}
}

func TestTakeOfRealLayouts(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	cut, stock, bound := 0, 0, 0
	for n := range cases(5, 40) {
		in := realJob(t, rng, 1+rng.IntN(3), realPatterns)
		got := take(t, in)
		if err := CheckTaken(got, in); err != nil {
			t.Fatalf("case %d: %v", n, err)
		}
		for _, r := range got.Rows {
			cut, stock, bound = cut+r.Cut, stock+r.Stock-r.Full, bound+r.StockBound-r.Full
		}
		if again := take(t, in); !reflect.DeepEqual(got.Stock, again.Stock) || !reflect.DeepEqual(got.Rows, again.Rows) {
			t.Fatalf("case %d: the same input gives another takeoff", n)
		}
	}
	t.Logf("%d cut pieces from %d tiles, no plan needs fewer than %d", cut, stock, bound)
}

// What is cut stays as it is, what broke is cut again from a tile of its own,
// and a broken tile has no pieces left, whatever is replanned.
// TestLayoutsGivenAway: a takeoff that writes into the layouts comes out like one that
// copies them, which leaves them as they are.
func TestLayoutsGivenAway(t *testing.T) {
	in := realJob(t, rand.New(rand.NewPCG(6, 13)), 2, realPatterns)
	before, err := json.Marshal(in.Layouts)
	if err != nil {
		t.Fatal(err)
	}
	copied := take(t, in)
	if after, err := json.Marshal(in.Layouts); err != nil || string(after) != string(before) {
		t.Fatalf("the layouts changed, %v", err)
	}
	in.Given = true
	got := take(t, in)
	if !reflect.DeepEqual(got.Layouts, copied.Layouts) || !reflect.DeepEqual(got.Rows, copied.Rows) || !reflect.DeepEqual(got.Needs, copied.Needs) {
		t.Error("another takeoff of layouts given away")
	}
	if &got.Layouts[0].Zones[0].Pieces[0] != &in.Layouts[0].Zones[0].Pieces[0] {
		t.Error("layouts given away were copied")
	}
}

func TestKeptAndBroken(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 7))
	for n := range cases(3, 30) {
		in := realJob(t, rng, 1+rng.IntN(2), realPatterns[:5])
		got := take(t, in)
		for round := range 3 {
			in.Kept = nil
			for _, s := range got.Stock {
				if rng.IntN(2) == 0 {
					in.Kept = append(in.Kept, s)
				}
			}
			broke := map[string]bool{}
			for _, s := range in.Kept {
				if !s.Broken && rng.IntN(8) == 0 {
					if in.Broken == nil {
						in.Broken = map[string]int{}
					}
					id := s.Pieces[rng.IntN(len(s.Pieces))].Piece
					in.Broken[id]++
					broke[id] = true
				}
			}
			next := take(t, in)
			if err := CheckTaken(next, in); err != nil {
				t.Fatalf("case %d round %d: %v", n, round, err)
			}
			checkKept(t, next, in, broke)
			got = next
		}
	}
}

func checkKept(t *testing.T, got *Taken, in TakeIn, broke map[string]bool) {
	t.Helper()
	now := map[string]StockTile{}
	broken := 0
	for _, s := range got.Stock {
		now[s.ID] = s
		if s.Broken {
			broken++
		}
	}
	want := 0
	for _, n := range in.Broken {
		want += n
	}
	if broken != want {
		t.Fatalf("%d broken tiles, %d broke", broken, want)
	}
	for _, s := range in.Kept {
		left := slices.DeleteFunc(slices.Clone(s.Pieces), func(q StockPiece) bool { return broke[q.Piece] })
		if s.Broken || len(left) == 0 {
			continue
		}
		if !reflect.DeepEqual(now[s.ID].Pieces, left) {
			t.Fatalf("kept tile %s had %v, has %v", s.ID, left, now[s.ID].Pieces)
		}
	}
	for id := range broke {
		for _, s := range got.Stock {
			for _, q := range s.Pieces {
				if q.Piece == id && (s.ID != fmt.Sprintf("%s/again.%d", id, in.Broken[id]) || len(s.Pieces) != 1) {
					t.Fatalf("piece %s broke and now comes from %s", id, s.ID)
				}
			}
		}
	}
}

// A wall measured narrower after its cuts were made: cuts that still keep the gap
// in its limits stay, the others are cut again.
func TestKeptWhenAWallMoves(t *testing.T) {
	for _, c := range []struct {
		narrower rooms.Length
		again    bool
	}{{1 * mm, false}, {4 * mm, true}} {
		in := bathJob(1)
		before := take(t, in)
		in.Kept = before.Stock
		s, l := takenWall("elm", "bath1", "wall1", 2450*mm-c.narrower, 2110*mm, in.Catalogue.Tiles[0])
		in.Jobs[0].Sites[0].Rooms[0].Surfaces[0], in.Layouts[0] = s, l
		got := take(t, in)
		if err := CheckTaken(got, in); err != nil {
			t.Fatal(err)
		}
		again := 0
		for _, f := range got.Findings {
			if f.Rule == "cut again" {
				again++
			}
		}
		if (again > 0) != c.again {
			t.Errorf("%s narrower: %d pieces are cut again", c.narrower, again)
		}
		for i, stop := range got.Stops {
			if !c.again && stop.Size != before.Stops[i].Size {
				t.Errorf("%s narrower: setting %s was %s, yet all is cut", c.narrower, stop.Size, before.Stops[i].Size)
			}
		}
	}
}

// The narrower offcuts are carried, the more tiles; what is left of kept tiles
// saves some.
func TestTakeSharing(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 9))
	tiles := map[string]int{}
	for range cases(6, 12) {
		in := realJob(t, rng, 3, realPatterns[:3])
		for i := range in.Jobs[0].Sites[0].Rooms {
			in.Jobs[0].Sites[0].Rooms[i].Group = "flat"
		}
		for _, sharing := range []string{"", ShareRoom, ShareSurface} {
			in.Sharing = sharing
			got := take(t, in)
			if err := CheckTaken(got, in); err != nil {
				t.Fatal(err)
			}
			at := map[string]string{}
			for _, l := range got.Layouts {
				for _, z := range l.Zones {
					for _, p := range z.Pieces {
						at[p.ID] = map[string]string{"": "", ShareRoom: l.Room, ShareSurface: layoutSurface(&l)}[sharing]
					}
				}
			}
			for _, s := range got.Stock {
				tiles[sharing]++
				for _, q := range s.Pieces {
					if at[q.Piece] != at[s.Pieces[0].Piece] {
						t.Fatalf("%s: tile %s is shared by %s and %s", sharing, s.ID, q.Piece, s.Pieces[0].Piece)
					}
				}
			}
		}
		in.Sharing = ""
		plan := take(t, in)
		for i, s := range plan.Stock {
			if i%3 == 0 {
				in.Kept = append(in.Kept, StockTile{ID: s.ID, Tile: s.Tile, Pieces: s.Pieces[:1]})
			}
		}
		for _, reuse := range []bool{false, true} {
			in.ReuseKept = reuse
			got := take(t, in)
			if err := CheckTaken(got, in); err != nil {
				t.Fatal(err)
			}
			tiles[fmt.Sprint("reuse ", reuse)] += len(got.Stock)
		}
		if len(plan.Offcuts()) == 0 {
			t.Error("no offcut is left")
		}
	}
	t.Log(tiles)
	if !(tiles[""] < tiles[ShareRoom] && tiles[ShareRoom] < tiles[ShareSurface] && tiles["reuse true"] < tiles["reuse false"]) {
		t.Errorf("tiles %v", tiles)
	}
}

// The bound of a row speaks of every plan, also of one made before anything was
// cut: however badly the pieces issued were put on tiles, it is never over what
// a plan made anew takes.
func TestBoundHoldsAfterIssue(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 4))
	wasted := 0
	for range 6 {
		in := realJob(t, rng, 2, realPatterns[:3])
		anew := map[[2]string]int{}
		plan := take(t, in)
		for _, r := range plan.Rows {
			anew[[2]string{r.Tile, r.Group}] = r.Stock
		}
		for _, s := range plan.Stock {
			for k, q := range s.Pieces { // each on a tile of its own
				in.Kept = append(in.Kept, StockTile{ID: fmt.Sprintf("%s.%d", s.ID, k), Tile: s.Tile, Pieces: []StockPiece{q}})
			}
		}
		for _, r := range take(t, in).Rows {
			best := anew[[2]string{r.Tile, r.Group}]
			wasted += r.Stock - best
			if r.StockBound > best {
				t.Errorf("%s %s: no plan needs fewer than %d, it says, and one takes %d", r.Tile, r.Group, r.StockBound, best)
			}
			if r.Stock > best && !strings.Contains(r.How, "settled") {
				t.Errorf("%s %s: %q does not say what is settled", r.Tile, r.Group, r.How)
			}
		}
	}
	if wasted == 0 {
		t.Error("no tile is wasted: the test shows nothing")
	}
}

// What is left of tiles kept in one room goes to another that is not seen together
// with it, if it takes the same lot: fewer tiles, each offcut once, and all stands in
// the plan after.
func TestTakeSharingOfALot(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 10))
	tiles, crossed := map[string]int{}, 0
	for range 5 {
		in := realJob(t, rng, 3, realPatterns[:3])
		for i := range in.Jobs[0].Sites[0].Rooms {
			in.Jobs[0].Sites[0].Rooms[i].Group = ""
		}
		for _, tile := range in.Catalogue.Tiles {
			in.Catalogue.Lots = append(in.Catalogue.Lots, Lot{Tile: tile.Key, Lot: "L1", Boxes: 5000}, Lot{Tile: tile.Key, Lot: "L2", Boxes: 3})
		}
		first := layoutRoom(&in.Layouts[0])
		for _, s := range take(t, in).Stock {
			if strings.HasPrefix(s.Pieces[0].Piece, first+"/") {
				in.Kept = append(in.Kept, s)
			}
		}
		in.ReuseKept = true
		for _, sharing := range []string{"", ShareLot} {
			in.Sharing = sharing
			got := take(t, in)
			if err := CheckTaken(got, in); err != nil {
				t.Fatalf("%q: %v", sharing, err)
			}
			tiles[sharing] += len(got.Stock)
			next := in
			next.Kept = nil
			for i, s := range got.Stock {
				group := ""
				for n, q := range s.Pieces {
					room := q.Piece[:strings.Index(q.Piece[strings.Index(q.Piece, "/")+1:], "/")+strings.Index(q.Piece, "/")+1]
					if n > 0 && room != group {
						crossed++
						if s.Lot != "L1" || sharing != ShareLot {
							t.Fatalf("%q: tile %s of lot %q goes from %s to %s", sharing, s.ID, s.Lot, group, room)
						}
					}
					group = room
				}
				if i%2 == 0 {
					next.Kept = append(next.Kept, s)
				}
			}
			again := take(t, next)
			if err := CheckTaken(again, next); err != nil {
				t.Fatalf("%q, planned again: %v", sharing, err)
			}
			for _, s := range next.Kept {
				n := slices.IndexFunc(again.Stock, func(a StockTile) bool { return a.ID == s.ID })
				if n < 0 || len(again.Stock[n].Pieces) < len(s.Pieces) {
					t.Fatalf("%q, planned again: kept tile %s has lost pieces", sharing, s.ID)
				}
			}
		}
	}
	if crossed == 0 || tiles[ShareLot] >= tiles[""] {
		t.Errorf("%d pieces cut from another room's tiles; tiles %v", crossed, tiles)
	}
	t.Log(crossed, tiles)
}
