package scheduler

import (
	"fmt"
	"slices"

	"potlife/takeoff"
)

// Withdrawal takes back, in a plan whose days have been issued since, that
// pieces broke: Before is the last plan that did not know of it.
type Withdrawal struct {
	Before *Plan
	Pieces []string
}

// whole are the pieces of a withdrawal that stand again where they were set or
// cut before they were called broken, by piece.
type whole struct {
	old, now *Area // in the plan before and in the one in force; now is nil where it is the same area
	cutAgain bool  // the day whose sheet lists the recut has begun
}

// madeWhole finds what a withdrawal can still undo: a piece that is reported
// set again stays as it is.
func (c *carrying) madeWhole() map[string]whole {
	w := c.maker.in.Withdrawn
	if w == nil || w.Before == nil {
		return nil
	}
	old, now, byID := areaOfPiece(w.Before), areaOfPiece(c.prior), map[string]*Activity{}
	for i := range c.prior.Activities {
		byID[c.prior.Activities[i].ID] = &c.prior.Activities[i]
	}
	out := map[string]whole{}
	for _, id := range w.Pieces {
		a, b := old[id], now[id]
		if a == nil || b == nil || !slices.ContainsFunc(c.prior.Areas, func(x Area) bool { return x.ID == a.ID }) {
			continue
		}
		made := whole{old: a, cutAgain: c.cutAgain(id)}
		if act := byID[b.Activity]; a.ID != b.ID {
			if act == nil || !c.keep[act.ID] || !c.keep[a.Activity] || c.reported[act.ID] {
				continue
			}
			made.now = b
		}
		out[id] = made
	}
	return out
}

func areaOfPiece(p *Plan) map[string]*Area {
	out := map[string]*Area{}
	for i := range p.Areas {
		for _, id := range p.Areas[i].Pieces {
			out[id] = &p.Areas[i]
		}
	}
	return out
}

// cutAgain reports whether the recut of a piece stands on the sheet of a day on
// which its crew has begun.
func (c *carrying) cutAgain(piece string) bool {
	for _, s := range c.prior.Sheets {
		listed := slices.ContainsFunc(s.Cuts, func(g CutGroup) bool { return slices.Contains(g.Pieces, piece) })
		for _, h := range c.prior.Hours[s.Crew] {
			if listed && c.maker.clock.Day(h.Start) == s.Date && h.Start < c.maker.horizonOfWork() {
				return true
			}
		}
	}
	return false
}

// takeBack takes the pieces that are whole out of the areas that were to set
// them again; an area with nothing else in it falls away.
func (c *carrying) takeBack() {
	c.whole = c.madeWhole()
	left := map[string]int{}
	for _, w := range c.whole {
		if w.now != nil {
			left[w.now.ID]++
		}
	}
	work := map[string]bool{} // activities that still set something
	for i := range c.prior.Areas {
		a := &c.prior.Areas[i]
		work[a.Activity] = work[a.Activity] || left[a.ID] < len(a.Pieces)
	}
	for _, w := range c.whole {
		if w.now != nil && !work[w.now.Activity] {
			c.keep[w.now.Activity] = false
		}
	}
}

// again are the pieces of an area that are whole elsewhere.
func (c *carrying) again(a *Area) map[string]bool {
	out := map[string]bool{}
	for id, w := range c.whole {
		if w.now != nil && w.now.ID == a.ID {
			out[id] = true
		}
	}
	return out
}

// putBack puts the pieces that are whole into the area in which they were set,
// in the order in which it was issued.
func (c *carrying) putBack(a *Area) {
	for _, id := range c.maker.withdrawnPieces() {
		w, ok := c.whole[id]
		if !ok || w.now == nil || w.old.ID != a.ID || slices.Contains(a.Pieces, id) {
			continue
		}
		turn := map[string]int{}
		for i, p := range w.old.Pieces {
			turn[p] = i
		}
		at, patch, in := 0, 0, 0
		for i := range a.Patches {
			for k, p := range a.Patches[i].Pieces {
				if turn[p] < turn[id] {
					at, patch, in = at+1, i, k+1
				}
			}
		}
		if len(a.Patches) == 0 {
			old := w.old.Patches[slices.IndexFunc(w.old.Patches, func(t Patch) bool { return slices.Contains(t.Pieces, id) })]
			old.Pieces = []string{id}
			a.Patches, a.Pieces = []Patch{old}, []string{id}
			continue
		}
		a.Patches = slices.Clone(a.Patches)
		a.Patches[patch].Pieces = slices.Insert(slices.Clone(a.Patches[patch].Pieces), in, id)
		a.Pieces = slices.Insert(slices.Clone(a.Pieces), at, id)
	}
}

func (m *maker) withdrawnPieces() []string {
	if m.in.Withdrawn == nil {
		return nil
	}
	return m.in.Withdrawn.Pieces
}

// unlist takes the recut of pieces that are whole off the sheets and puts their
// cuts back where they were listed first.
func (c *carrying) unlist(sheets []Sheet) []Sheet {
	if len(c.whole) == 0 {
		return sheets
	}
	sheets = slices.Clone(sheets)
	for i := range sheets {
		s := &sheets[i]
		var cuts []CutGroup
		for _, g := range s.Cuts {
			if g = g.only(func(id string) bool { _, is := c.whole[id]; return !is }); len(g.Pieces) > 0 {
				cuts = append(cuts, g)
			}
		}
		for _, old := range c.maker.in.Withdrawn.Before.Sheets {
			if old.Crew != s.Crew || old.Date != s.Date {
				continue
			}
			for _, g := range old.Cuts {
				if g = g.only(func(id string) bool { _, is := c.whole[id]; return is }); len(g.Pieces) > 0 {
					cuts = append(cuts, g)
				}
			}
		}
		s.Cuts = cuts
	}
	return sheets
}

// only is a group of cuts with some of its pieces.
func (g CutGroup) only(in func(string) bool) CutGroup {
	out := g
	out.Pieces, out.From = nil, nil
	for i, id := range g.Pieces {
		if in(id) {
			out.Pieces = append(out.Pieces, id)
			if i < len(g.From) {
				out.From = append(out.From, g.From[i])
			}
		}
	}
	return out
}

// restock is the stock with pieces that are whole back on the tiles they were
// cut from: the tile they were to be cut from again stays in its box, unless it
// has been cut by now: then a tile more is used up, and the spare piece is told.
func (c *carrying) restock(stock []takeoff.StockTile) []takeoff.StockTile {
	if len(c.whole) == 0 {
		return stock
	}
	lost := map[string]bool{}
	var out []takeoff.StockTile
	for _, t := range stock {
		t.Pieces = slices.DeleteFunc(slices.Clone(t.Pieces), func(q takeoff.StockPiece) bool { _, is := c.whole[q.Piece]; return is })
		if t.Broken {
			piece := takeoff.BrokenPiece(t.ID)
			if w, is := c.whole[piece]; is && (!w.cutAgain || lost[piece]) {
				continue
			}
			if lost[piece] = true; c.holds(piece) { // what was cut for nothing came out of a box
				t.Offcut = nil
			}
		}
		if t.Broken || len(t.Pieces) > 0 {
			out = append(out, t)
		}
	}
	for _, t := range c.maker.in.Withdrawn.Before.Stock {
		mine := t
		mine.Pieces = slices.DeleteFunc(slices.Clone(t.Pieces), func(q takeoff.StockPiece) bool { _, is := c.whole[q.Piece]; return !is })
		if t.Broken || len(mine.Pieces) == 0 {
			continue
		}
		if i := slices.IndexFunc(out, func(o takeoff.StockTile) bool { return o.ID == t.ID }); i >= 0 {
			out[i].Pieces = append(out[i].Pieces, mine.Pieces...)
		} else {
			out = append(out, mine)
		}
	}
	return out
}

// holds reports whether a piece is whole after all.
func (c *carrying) holds(piece string) bool {
	_, is := c.whole[piece]
	return is
}

// spare tells of pieces that were cut again for nothing.
func (c *carrying) spare() []takeoff.Finding {
	var out []takeoff.Finding
	for _, id := range c.maker.withdrawnPieces() {
		if w, ok := c.whole[id]; ok && w.cutAgain {
			out = append(out, takeoff.Finding{Rule: "spare piece", Severity: takeoff.Info, Where: id, Value: 1, Source: "the reports",
				Message: fmt.Sprintf("%s was to be cut again and is whole after all: if it has been cut, put the spare piece to the offcuts; its tile counts as used", id)})
		}
	}
	return out
}
