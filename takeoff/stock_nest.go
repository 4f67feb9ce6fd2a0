package takeoff

import (
	"context"
	"fmt"
	"slices"

	"potlife/rooms"
)

// nestJob is pieces of a row that may share tiles, and how they are cut.
type nestJob struct {
	key   rowKey
	row   *stockRow
	open  []cutPiece
	share []cutPiece // of these, those that have no tile of their own yet
	plan  planner
	from  []donor       // kept tiles of other rows, numbered after the row's own in plan.left
	hand  []*YardOffcut // offcuts in hand, numbered after those

	got nested
	err error
}

// nested is how pieces are cut: the tiles, the number below which no plan comes,
// and what that number is worth.
type nested struct {
	cut    *cutting
	bound  int
	caveat string
}

// nestJobs parts a row's open pieces where offcuts may not be carried from
// surface to surface or from room to room. A piece that broke has a tile of its
// own already.
func (t *taker) nestJobs(k rowKey, row *stockRow) []*nestJob {
	parts := map[string]*nestJob{}
	var jobs []*nestJob
	tile := t.tiles[k.tile]
	square := isBox(rooms.Polygon{Outer: tile.Shape})
	for from, to := 0, 0; from < len(row.open); from = to { // as a rule all of a row are one part
		at := t.sharesWith(row.open[from].takenPiece)
		for to = from + 1; to < len(row.open) && t.sharesWith(row.open[to].takenPiece) == at; to++ {
		}
		run := row.open[from:to:to]
		if j := parts[at]; j != nil {
			j.open = append(j.open, run...)
			continue
		}
		parts[at] = &nestJob{key: k, row: row, open: run, plan: planner{t: t, tile: tile, square: square}}
		jobs = append(jobs, parts[at])
	}
	if !t.in.ReuseKept || !square {
		return jobs
	}
	for i := range row.keptTiles {
		s := &row.tiles[i]
		if s.Broken {
			continue
		}
		if j := parts[t.sharesWith(t.byID[s.Pieces[0].Piece])]; j != nil {
			j.plan.left = append(j.plan.left, t.offcutsOf(tile, s, -1-i)...)
		}
	}
	return jobs
}

// nestAll cuts all jobs' pieces, as many at once as there are processors.
func (t *taker) nestAll(ctx context.Context, jobs []*nestJob) error {
	Each(len(jobs), 1, func(i int) { jobs[i].run(ctx) })
	for _, j := range jobs {
		if j.err != nil {
			return j.wrong()
		}
	}
	return nil
}

func (j *nestJob) wrong() error {
	return fmt.Errorf("takeoff: cutting %s for %s: %w", j.key.tile, j.key.group, j.err)
}

// run looks the nest up where the same one was made before, or makes it.
func (j *nestJob) run(ctx context.Context) {
	j.share = j.open
	if again := func(c cutPiece) bool { return c.again > 0 }; slices.ContainsFunc(j.open, again) {
		j.share = slices.DeleteFunc(slices.Clone(j.open), again)
	}
	memory := j.plan.t.in.Memory
	if memory == nil {
		j.got, j.err = j.make(ctx)
		return
	}
	k := j.digest()
	var known bool
	if j.got, known = memory.find(k); known {
		return
	}
	if j.got, j.err = j.make(ctx); j.err == nil && ctx.Err() == nil {
		memory.keep(k, j.got)
	}
}

// make cuts pieces that may share tiles: rectangles by the solver, others where
// they lie in their own tile or by their bounding boxes, whichever takes fewer
// tiles.
func (j *nestJob) make(ctx context.Context) (n nested, err error) {
	if n.cut, n.bound, err = j.plan.plan(ctx, j.share); err != nil {
		return n, err
	}
	if n.bound < 0 || len(j.share) < len(j.open) { // not all of it was the solver's
		// What is left of a tile kept saves a new tile at most.
		n.bound = max(0, j.plan.t.looseBound(ctx, j.plan.tile, j.open)-j.plan.donors())
		n.caveat = "by area, by corners and by the rectangles among the pieces"
	}
	return n, nil
}

// enter puts a job's tiles into its row.
func (t *taker) enter(j *nestJob) {
	for i := range j.row.keptTiles {
		j.row.tiles[i].Pieces = append(slices.Clip(j.row.tiles[i].Pieces), j.got.cut.kept[i]...)
	}
	t.enterOfLot(j)
	t.enterYard(j)
	for _, s := range j.got.cut.tiles {
		t.add(j.row, j.key, s.ID, s.Pieces)
		j.row.cutTiles++
	}
	j.row.bound += j.got.bound
	if j.got.caveat != "" {
		j.row.caveat = j.got.caveat
	}
}
