package nest

import (
	"errors"
	"fmt"
)

// Sides is a set of the four sides of a rectangle.
type Sides uint8

// The sides in counter-clockwise order, so that a quarter turn is a rotation of the four bits.
const (
	Left Sides = 1 << iota
	Bottom
	Right
	Top

	NoSides  Sides = 0
	AllSides Sides = Left | Bottom | Right | Top
)

// turned gives where the sides lie after n counter-clockwise quarter turns: left comes to the bottom, the bottom to the right.
func (s Sides) turned(n int) Sides {
	n &= 3
	return (s<<n | s>>(4-n)) & AllSides
}

// has reports whether all of t are in s.
func (s Sides) has(t Sides) bool { return s&t == t }

// Turn is a set of allowed quarter turns of a piece against the tile it is cut from, counter-clockwise.
type Turn uint8

// The four turns. The zero Turn in a Piece allows Turn0 only.
const (
	Turn0 Turn = 1 << iota
	Turn90
	Turn180
	Turn270

	HalfTurns Turn = Turn0 | Turn180
	AnyTurn   Turn = Turn0 | Turn90 | Turn180 | Turn270
)

// Piece is one piece to be cut, described by the rectangle that bounds it.
type Piece struct {
	W, H    int64 // bounding rectangle in the tile's frame at Turn0
	Factory Sides // sides that must be uncut edges of the tile, at Turn0
	Turns   Turn  // turns the pattern and the tile's face allow; 0 means Turn0 only
	Rank    int   // place in the setting order; sharing is preferred between near ranks
	Whole   bool  // takes a whole tile and leaves nothing another piece could use
}

// Offcut is a rectangle left of a tile, in the tile's frame.
type Offcut struct {
	W, H    int64
	Factory Sides // its sides that are uncut edges of the tile
	Tile    int   // where a result leaves it: number of the new tile, or -1
	Stock   int   // or index of the stock offcut it is left of, or -1
	X, Y    int64 // lower left corner in that tile or stock offcut
}

// OffcutProblem asks for the fewest new tiles from which all pieces can be cut by cuts that run from edge to edge
// of what is being cut. All sizes are in one unit.
type OffcutProblem struct {
	TileW, TileH int64
	Kerf         int64    // width lost between two pieces that a cut separates
	Pieces       []Piece  //
	Stock        []Offcut // kept from before; used first, at no cost. W, H and Factory count
	SmallestKept int64    // an offcut with a side shorter than this is waste
}

// Placement says where one piece is cut.
type Placement struct {
	Tile  int   // number of the new tile, from 0; -1 where it comes from stock
	Stock int   // index of the stock offcut; -1 where it comes from a new tile
	X, Y  int64 // lower left corner of the turned piece in the tile or stock offcut
	W, H  int64 // size of the turned piece
	Turn  Turn  // exactly one turn
	Opens bool  // the first piece of its tile in rank: the tile is cut for it, later pieces come from the offcut
}

// OffcutResult is the plan: one placement per piece, in the order of the pieces.
type OffcutResult struct {
	Status     Status
	Tiles      int // new tiles used
	Bound      int // no plan of edge-to-edge cuts uses fewer new tiles
	Placements []Placement
	Left       []Offcut // offcuts worth keeping of the tiles and stock that were cut; stock not cut is not repeated
	StockUsed  []bool   // which of the stock was cut
	Reach      int      // the limit on the distance of ranks in a new tile that was asked for
	Steps      int64    // work done
}

// Sentence tells the result in one line, as "61 tiles; no plan needs fewer than 60".
func (r OffcutResult) Sentence() string {
	switch r.Status {
	case Optimal, Feasible:
		return fmt.Sprintf("%s; no plan needs fewer than %d", tileCount(r.Tiles), r.Bound)
	case Infeasible:
		return "no plan: a piece is larger than a tile or needs edges that no tile has"
	default:
		return "no plan found"
	}
}

func tileCount(n int) string {
	if n == 1 {
		return "1 tile"
	}
	return fmt.Sprintf("%d tiles", n)
}

// ErrProblem marks a problem that is wrongly stated; the message says where.
var ErrProblem = errors.New("nest: bad problem")

// maxSide keeps areas, and sums of areas of a tile's pieces, inside int64. In 1/8 µm it is 8.4 m.
const maxSide = 1 << 26

func (p OffcutProblem) validate() error {
	if p.TileW < 1 || p.TileH < 1 || p.TileW > maxSide || p.TileH > maxSide {
		return fmt.Errorf("%w: tile %d × %d, sides must be 1 to %d", ErrProblem, p.TileW, p.TileH, maxSide)
	}
	if p.Kerf < 0 || p.Kerf > maxSide || p.SmallestKept < 0 {
		return fmt.Errorf("%w: kerf %d, smallest kept %d, neither may be negative", ErrProblem, p.Kerf, p.SmallestKept)
	}
	for i, q := range p.Pieces {
		if q.W < 1 || q.H < 1 || q.Factory&^AllSides != 0 || q.Turns&^AnyTurn != 0 {
			return fmt.Errorf("%w: piece %d: %d × %d, sides %d, turns %d", ErrProblem, i, q.W, q.H, q.Factory, q.Turns)
		}
	}
	for i, s := range p.Stock {
		if err := p.validateStock(s); err != nil {
			return fmt.Errorf("%w: stock offcut %d: %v", ErrProblem, i, err)
		}
	}
	return nil
}

// validateStock holds an offcut against the tile: two opposite factory sides are a tile's length apart.
func (p OffcutProblem) validateStock(s Offcut) error {
	switch {
	case s.W < 1 || s.H < 1 || s.W > p.TileW || s.H > p.TileH || s.Factory&^AllSides != 0:
		return fmt.Errorf("%d × %d does not lie in a tile %d × %d", s.W, s.H, p.TileW, p.TileH)
	case s.Factory.has(Left|Right) && s.W != p.TileW:
		return fmt.Errorf("width %d between factory sides, the tile has %d", s.W, p.TileW)
	case s.Factory.has(Bottom|Top) && s.H != p.TileH:
		return fmt.Errorf("height %d between factory sides, the tile has %d", s.H, p.TileH)
	}
	return nil
}
