package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"time"

	"potlife/takeoff/nest"
)

func init() { register("nest", runNest) }

// withinMS is the aim for one bathroom, in milliseconds of processor time.
const withinMS = 50

// runNest plans the offcuts of drawn bathrooms and prints how many are proved, how far the rest may be off, and the time:
// mean_ms and max_ms by the clock, the others in processor time, which a busy machine does not stretch. within_50ms is the
// share of rooms that took less than 50 ms, proved_within_50ms of those that were proved as well.
func runNest(args []string, out io.Writer) error {
	flags := flag.NewFlagSet("nest", flag.ContinueOnError)
	rooms := flags.Int("rooms", 200, "bathrooms to draw")
	seed := flags.Uint64("seed", 1, "start of the random draw")
	verbose := flags.Bool("v", false, "one line per room as well")
	only := flags.Int("only", -1, "plan this room of the draw alone")
	building := flags.Int("building", 0, "draw buildings of so many bathrooms with one wall tile instead of single bathrooms")
	if err := flags.Parse(args); err != nil {
		return fmt.Errorf("%w: %v", errUsage, err)
	}
	draw := rand.New(rand.NewPCG(*seed, 0))
	var sum nestTally
	for n := range *rooms {
		var problems []nest.OffcutProblem
		if *building > 0 {
			problems = drawBuilding(draw, *building)
		} else {
			problems = drawBathroom(draw)
		}
		if *only >= 0 && n != *only {
			continue
		}
		r, err := planBathroom(problems)
		if err != nil {
			return fmt.Errorf("room %d: %w", n, err)
		}
		sum.add(r)
		if *verbose {
			fmt.Fprintf(out, "# room %d: %d pieces, %d tiles, bound %d, %.1f ms, %.1f ms of processor time\n",
				n, r.pieces, r.tiles, r.bound, r.ms, r.cpuMS)
		}
	}
	return json.NewEncoder(out).Encode(sum.line())
}

// nestTally sums the plans of the rooms.
type nestTally struct {
	rooms, optimal, within, both, pieces int
	gap, ms, cpu, worst, worstCPU        float64
}

func (t *nestTally) add(r roomPlan) {
	t.rooms++
	proved, quick := r.bound == r.tiles, r.cpuMS < withinMS
	for _, c := range []struct {
		counts bool
		in     *int
	}{{proved, &t.optimal}, {quick, &t.within}, {proved && quick, &t.both}} {
		if c.counts {
			*c.in++
		}
	}
	if r.bound > 0 {
		t.gap += float64(r.tiles-r.bound) / float64(r.bound)
	}
	t.pieces += r.pieces
	t.ms, t.worst = t.ms+r.ms, max(t.worst, r.ms)
	t.cpu, t.worstCPU = t.cpu+r.cpuMS, max(t.worstCPU, r.cpuMS)
}

// line is what is printed.
func (t *nestTally) line() map[string]any {
	each := float64(max(1, t.rooms))
	return map[string]any{
		"rooms": t.rooms, "optimal_share": float64(t.optimal) / each, "mean_gap": t.gap / each, "mean_ms": t.ms / each,
		"max_ms": t.worst, "mean_cpu_ms": t.cpu / each, "max_cpu_ms": t.worstCPU, "within_50ms": float64(t.within) / each,
		"proved_within_50ms": float64(t.both) / each, "mean_pieces": float64(t.pieces) / each,
	}
}

// roomPlan sums the plans of a room's tile products.
type roomPlan struct {
	tiles, bound, pieces int
	ms, cpuMS            float64
}

func planBathroom(problems []nest.OffcutProblem) (roomPlan, error) {
	var sum roomPlan
	for _, p := range problems {
		start, cpu := time.Now(), cpuTime()
		r, err := nest.SolveOffcuts(context.Background(), p, nest.Options{})
		if err != nil {
			return sum, err
		}
		sum.ms += float64(time.Since(start).Microseconds()) / 1000
		sum.cpuMS += float64((cpuTime() - cpu).Microseconds()) / 1000
		if err := nest.CheckOffcuts(p, r); err != nil {
			return sum, err
		}
		if r.Status == nest.Infeasible {
			return sum, fmt.Errorf("a drawn piece fits no tile")
		}
		sum.tiles, sum.bound, sum.pieces = sum.tiles+r.Tiles, sum.bound+r.Bound, sum.pieces+len(p.Pieces)
	}
	return sum, nil
}

// How a bathroom is drawn (all sizes in mm, all choices uniform unless said):
//
//   - plan 1.4–3.2 by 1.6–4.2 m, tiled 1.2–2.7 m high or only 0.9–1.2 m in one room of five;
//   - a wall tile and a floor tile from wallTiles and floorTiles, joints 1.5, 2 or 3 mm, kerf 0 (snapped), 1.2, 1.6 or 2.4;
//   - faces may be turned by half turns (three of five), any quarter turn (square tiles, one of five) or not at all;
//   - courses straight, or offset by 1/2 or 1/3, each from an origin anywhere in the tile;
//   - four walls with one to five openings in all: a door down to the floor, windows, niches, a tub or vanity line; the floor with a
//     drain or a boxed-out corner in half of the rooms;
//   - in two rooms of five the walls are out of plumb, and each course's end cuts differ by up to 6 mm in steps of 0.5 mm;
//   - what remains of a tile after clipping is one piece, its bounding rectangle counts, and those of its sides that lie on the
//     tile's edge need a factory edge. What keeps the tile's full
//     size (a notch, a hole) takes a tile alone like a full one, and stays out of the problem.
//
// Wall tiles make one problem and floor tiles another; offcuts are not shared between products.
const unitsPerMM = 8000

var (
	wallTiles = [][2]int64{{75, 150}, {100, 100}, {150, 150}, {200, 200}, {100, 300}, {200, 400}, {250, 400}, {200, 600}, {300, 600},
		{600, 300}, {400, 800}, {600, 600}, {600, 1200}, {148, 148}, {65, 265}}
	floorTiles = [][2]int64{{200, 200}, {300, 300}, {330, 330}, {450, 450}, {600, 600}, {300, 600}, {600, 1200}, {150, 900}, {200, 1200}}
)

// box is a rectangle in units, from (x0, y0) to (x1, y1).
type box struct{ x0, y0, x1, y1 int64 }

// surface is a rectangle to be tiled, less its openings.
type surface struct {
	w, h     int64
	openings []box
	lean     []int64 // by course: how much shorter it is at its right end
}

func mm(r *rand.Rand, from, to int64) int64 { return (from + r.Int64N(to-from+1)) * unitsPerMM }

func pick[T any](r *rand.Rand, list ...T) T { return list[r.IntN(len(list))] }

// drawBathroom draws one room and gives the offcut problem of its walls and of its floor.
func drawBathroom(r *rand.Rand) []nest.OffcutProblem {
	walls, floor := drawSurfaces(r)
	return []nest.OffcutProblem{drawProblem(r, pick(r, wallTiles...), walls), drawProblem(r, pick(r, floorTiles...), []surface{floor})}
}

// drawBuilding draws so many bathrooms whose walls take one tile, laid and cut alike, and gives their offcut problem: a
// building's pieces share tiles from room to room. Ranks run on from room to room.
func drawBuilding(r *rand.Rand, rooms int) []nest.OffcutProblem {
	var walls []surface
	for range rooms {
		w, _ := drawSurfaces(r)
		walls = append(walls, w...)
	}
	return []nest.OffcutProblem{drawProblem(r, pick(r, wallTiles...), walls)}
}

// drawSurfaces draws the four walls and the floor of a bathroom.
func drawSurfaces(r *rand.Rand) (walls []surface, floor surface) {
	w, d, h := mm(r, 1400, 3200), mm(r, 1600, 4200), mm(r, 1200, 2700)
	if r.IntN(5) == 0 {
		h = mm(r, 900, 1200)
	}
	crooked := r.IntN(5) < 2
	walls = []surface{{w: w, h: h}, {w: d, h: h}, {w: w, h: h}, {w: d, h: h}}
	for i := range 1 + r.IntN(5) {
		s := &walls[r.IntN(4)]
		s.openings = append(s.openings, drawOpening(r, *s, i == 0))
	}
	for i := range walls {
		for range 60 {
			lean := int64(0)
			if crooked {
				lean = r.Int64N(13) * unitsPerMM / 2
			}
			walls[i].lean = append(walls[i].lean, lean)
		}
	}
	floor = surface{w: w, h: d, lean: make([]int64, 60)}
	if r.IntN(2) == 0 {
		floor.openings = append(floor.openings, drawOpening(r, floor, false))
	}
	return walls, floor
}

// drawOpening is a door (down to the floor) or anything else cut out of the surface.
func drawOpening(r *rand.Rand, s surface, door bool) box {
	w, h := min(mm(r, 250, 1200), s.w*2/3), min(mm(r, 250, 1100), s.h*2/3)
	x, y := r.Int64N(s.w-w)/unitsPerMM*unitsPerMM, r.Int64N(s.h-h)/unitsPerMM*unitsPerMM
	if door {
		w, h, y = min(mm(r, 700, 950), s.w*2/3), min(mm(r, 2000, 2100), s.h), 0
	}
	return box{x, y, x + w, y + h}
}

// drawProblem lays one product on its surfaces and collects the cut pieces.
func drawProblem(r *rand.Rand, tile [2]int64, surfaces []surface) nest.OffcutProblem {
	p := nest.OffcutProblem{TileW: tile[0] * unitsPerMM, TileH: tile[1] * unitsPerMM, SmallestKept: 40 * unitsPerMM}
	p.Kerf = pick[int64](r, 0, 12, 16, 24) * unitsPerMM / 10
	joint := pick[int64](r, 15, 20, 30) * unitsPerMM / 10
	turns := pick(r, nest.Turn0, nest.HalfTurns, nest.HalfTurns, nest.HalfTurns, nest.HalfTurns)
	if tile[0] == tile[1] && r.IntN(5) == 0 {
		turns = nest.AnyTurn
	}
	parts := pick(r, int64(1), 1, 2, 3)
	for i, s := range surfaces {
		l := lattice{p.TileW, p.TileH, joint, parts, r.Int64N(tile[0]) * unitsPerMM, r.Int64N(tile[1]) * unitsPerMM}
		p.Pieces = append(p.Pieces, l.cuts(s, turns, i*100)...)
	}
	return p
}

// lattice is a field of equal tiles in courses, each shifted by a part of the module against the one below.
type lattice struct{ w, h, joint, parts, ox, oy int64 }

// cuts lists the pieces of a surface that are not full tiles.
func (l lattice) cuts(s surface, turns nest.Turn, rank int) []nest.Piece {
	var list []nest.Piece
	dx, dy := l.w+l.joint, l.h+l.joint
	for course := int64(0); course*dy-l.oy < s.h; course++ {
		y := course*dy - l.oy
		right := s.w - s.lean[min(int(course), len(s.lean)-1)]
		for x := -l.ox - (course%l.parts)*dx/l.parts; x < right; x += dx {
			cell := box{x, y, x + l.w, y + l.h}
			rest, ok := clip(cell, box{0, 0, right, s.h}, s.openings)
			if !ok {
				continue
			}
			if piece, cut := l.piece(cell, rest); cut {
				piece.Turns, piece.Rank = turns, rank+int(course)
				list = append(list, piece)
			}
		}
	}
	return list
}

// clip is the bounding rectangle of a tile within the surface and outside its openings.
func clip(cell, within box, openings []box) (box, bool) {
	c := box{max(cell.x0, within.x0), max(cell.y0, within.y0), min(cell.x1, within.x1), min(cell.y1, within.y1)}
	for _, o := range openings {
		spansX, spansY := o.x0 <= c.x0 && o.x1 >= c.x1, o.y0 <= c.y0 && o.y1 >= c.y1
		switch {
		case spansX && o.y0 <= c.y0 && o.y1 > c.y0:
			c.y0 = o.y1
		case spansX && o.y1 >= c.y1 && o.y0 < c.y1:
			c.y1 = o.y0
		case spansY && o.x0 <= c.x0 && o.x1 > c.x0:
			c.x0 = o.x1
		case spansY && o.x1 >= c.x1 && o.x0 < c.x1:
			c.x1 = o.x0
		}
	}
	return c, c.x1-c.x0 >= 3*unitsPerMM && c.y1-c.y0 >= 3*unitsPerMM
}

// piece describes what remains of a cell; cut is false for a full tile.
func (l lattice) piece(cell, c box) (q nest.Piece, cut bool) {
	q = nest.Piece{W: c.x1 - c.x0, H: c.y1 - c.y0}
	for _, e := range []struct {
		on   bool
		side nest.Sides
	}{{c.x0 == cell.x0, nest.Left}, {c.y0 == cell.y0, nest.Bottom}, {c.x1 == cell.x1, nest.Right}, {c.y1 == cell.y1, nest.Top}} {
		if e.on {
			q.Factory |= e.side
		}
	}
	return q, q.Factory != nest.AllSides
}
