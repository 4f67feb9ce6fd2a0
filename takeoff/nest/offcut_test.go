package nest

import (
	"context"
	"math/rand/v2"
	"testing"
)

func TestSolveOffcutsTable(t *testing.T) {
	strip := func(w int64, side Sides) Piece { return Piece{W: w, H: 600, Factory: AllSides &^ side} }
	corner := func(w, h int64, s Sides) Piece { return Piece{W: w, H: h, Factory: s} }
	tests := []struct {
		name   string
		kerf   int64
		pieces []Piece
		stock  []Offcut
		tiles  int
	}{
		{"nothing", 2, nil, nil, 0},
		{"one strip", 2, []Piece{strip(100, Right)}, nil, 1},
		{"two strips that lack opposite sides share", 2, []Piece{strip(140, Right), strip(158, Left)}, nil, 1},
		{"the kerf parts them", 2, []Piece{strip(141, Right), strip(158, Left)}, nil, 2},
		{"snapped, no kerf", 0, []Piece{strip(142, Right), strip(158, Left)}, nil, 1},
		{"two strips that need the same side", 2, []Piece{strip(100, Right), strip(100, Right)}, nil, 2},
		{"half a turn frees the other side", 2,
			[]Piece{{W: 100, H: 600, Factory: AllSides &^ Right, Turns: HalfTurns}, strip(100, Right)}, nil, 1},
		{"four corners", 2, []Piece{corner(140, 290, Left|Bottom), corner(140, 290, Right|Bottom), corner(140, 290, Left|Top),
			corner(140, 290, Right|Top)}, nil, 1},
		{"a fifth corner opens a tile", 2, []Piece{corner(40, 40, Left|Bottom), corner(40, 40, Right|Bottom), corner(40, 40, Left|Top),
			corner(40, 40, Right|Top), corner(40, 40, Left|Bottom)}, nil, 2},
		{"inner piece between strips", 2, []Piece{strip(90, Right), strip(90, Left), {W: 116, H: 500}}, nil, 1},
		{"a quarter turn", 2, []Piece{{W: 600, H: 100, Turns: AnyTurn}}, nil, 1},
		{"stock serves first", 2, []Piece{strip(100, Left)}, []Offcut{{W: 120, H: 600, Factory: AllSides &^ Left}}, 0},
		{"stock without the edge does not", 2, []Piece{strip(100, Left)}, []Offcut{{W: 120, H: 600, Factory: AllSides &^ Right}}, 1},
		{"whole pieces do not share", 2, []Piece{{W: 200, H: 300, Whole: true}, strip(50, Right)}, nil, 2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := OffcutProblem{TileW: 300, TileH: 600, Kerf: tt.kerf, Pieces: tt.pieces, Stock: tt.stock, SmallestKept: 50}
			r, err := SolveOffcuts(context.Background(), p, Options{})
			if err != nil {
				t.Fatal(err)
			}
			if err := CheckOffcuts(p, r); err != nil {
				t.Fatal(err)
			}
			if r.Tiles != tt.tiles || r.Status != Optimal {
				t.Errorf("%v: %s, want %d tiles, optimal", r.Status, r.Sentence(), tt.tiles)
			}
		})
	}
}

// randomOffcuts draws a small problem with turns, stock and coincidences of size.
func randomOffcuts(r *rand.Rand, most int) OffcutProblem {
	p := OffcutProblem{TileW: 6 + r.Int64N(6), TileH: 6 + r.Int64N(8), Kerf: r.Int64N(3), SmallestKept: 1 + r.Int64N(3)}
	for range 1 + r.IntN(most) {
		q := Piece{W: 1 + r.Int64N(p.TileW), H: 1 + r.Int64N(p.TileH), Rank: r.IntN(5), Turns: Turn(r.IntN(16))}
		some, others := Sides(r.IntN(16)), Sides(r.IntN(16))
		q.Factory = some & others // few sides more often than many
		if q.Factory.has(Left | Right) {
			q.W = p.TileW
		}
		if q.Factory.has(Bottom | Top) {
			q.H = p.TileH
		}
		if q.Turns&HalfTurns == 0 {
			q.Turns |= Turn0
		}
		q.Whole = r.IntN(12) == 0
		p.Pieces = append(p.Pieces, q)
	}
	for range r.IntN(3) {
		q := Offcut{W: 1 + r.Int64N(p.TileW), H: 1 + r.Int64N(p.TileH), Factory: Sides(r.IntN(16))}
		if q.Factory.has(Left | Right) {
			q.W = p.TileW
		}
		if q.Factory.has(Bottom | Top) {
			q.H = p.TileH
		}
		p.Stock = append(p.Stock, q)
	}
	return p
}

func TestOffcutsRandomChecked(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := range 1500 {
		p := randomOffcuts(r, 12)
		o := Options{Reach: r.IntN(4)}
		got, err := SolveOffcuts(context.Background(), p, o)
		if err != nil {
			t.Fatal(err)
		}
		if err := CheckOffcuts(p, got); err != nil {
			t.Fatalf("case %d: %v\n%+v\n%+v", n, err, p, got)
		}
	}
}

// Four left and four right strips, two of each per course: every tile should serve one course.
func TestOffcutsShareNearRanks(t *testing.T) {
	p := OffcutProblem{TileW: 300, TileH: 600, Kerf: 2}
	for rank := range 8 {
		p.Pieces = append(p.Pieces, Piece{W: 100, H: 600, Factory: AllSides &^ Right, Rank: rank})
	}
	for rank := range 8 {
		p.Pieces = append(p.Pieces, Piece{W: 150 + int64(rank%3), H: 600, Factory: AllSides &^ Left, Rank: 7 - rank})
	}
	r, err := SolveOffcuts(context.Background(), p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := CheckOffcuts(p, r); err != nil {
		t.Fatal(err)
	}
	if r.Tiles != 8 || r.Status != Optimal {
		t.Fatalf("%s, want 8 tiles, optimal", r.Sentence())
	}
	ranks := map[int][]int{}
	for i, q := range r.Placements {
		ranks[q.Tile] = append(ranks[q.Tile], p.Pieces[i].Rank)
	}
	for tile := range r.Tiles {
		if got := ranks[tile]; len(got) != 2 || got[0] != tile || got[1] != tile {
			t.Errorf("tile %d serves ranks %v, want %d twice", tile, got, tile)
		}
	}
}
