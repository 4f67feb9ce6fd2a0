package nest

import (
	"context"
	"fmt"
)

// SheetProblem asks for the fewest sheets of one size from which all rectangles can be cut by cuts that run from edge
// to edge of what is being cut. All sizes are in one unit.
type SheetProblem struct {
	W, H   int64 // at most 2²⁶
	Kerf   int64 // lost between two neighbouring pieces
	Rotate bool  // pieces may be turned by a quarter
	Items  []SheetItem
}

// SheetItem is one rectangle wanted.
type SheetItem struct{ W, H int64 }

// SheetPlace says where an item is cut: lower left corner in its sheet and size as turned.
type SheetPlace struct {
	Sheet      int
	X, Y, W, H int64
}

// SheetResult is the plan: one place per item, in the order of the items.
type SheetResult struct {
	Status Status
	Sheets int
	Bound  int // no plan uses fewer sheets
	Places []SheetPlace
	Steps  int64 // work done
}

// Sentence tells the result in one line.
func (r SheetResult) Sentence() string {
	switch r.Status {
	case Optimal, Feasible:
		if r.Sheets == 1 {
			return fmt.Sprintf("1 sheet; no plan needs fewer than %d", r.Bound)
		}
		return fmt.Sprintf("%d sheets; no plan needs fewer than %d", r.Sheets, r.Bound)
	case Infeasible:
		return "no plan: an item is larger than a sheet"
	default:
		return "no plan found"
	}
}

const defaultSheetSteps = 20_000_000

func (p SheetProblem) validate() error {
	if p.W < 1 || p.H < 1 || p.W > maxSide || p.H > maxSide || p.Kerf < 0 || p.Kerf > maxSide {
		return fmt.Errorf("%w: sheet %d × %d with kerf %d; sides must be 1 to %d, the kerf not negative", ErrProblem, p.W, p.H, p.Kerf, maxSide)
	}
	for i, q := range p.Items {
		if q.W < 1 || q.H < 1 {
			return fmt.Errorf("%w: item %d is %d × %d", ErrProblem, i, q.W, q.H)
		}
	}
	return nil
}

// fits reports whether an item fits a sheet at all.
func (p SheetProblem) fits(q SheetItem) bool {
	return q.W <= p.W && q.H <= p.H || p.Rotate && q.H <= p.W && q.W <= p.H
}

// SolveSheets plans few sheets and bounds their number from below. It returns ErrProblem (wrapped) where the problem is
// wrongly stated, and Infeasible with a nil error where an item is larger than a sheet.
func SolveSheets(ctx context.Context, p SheetProblem, o Options) (SheetResult, error) {
	if err := p.validate(); err != nil {
		return SheetResult{}, err
	}
	for _, q := range p.Items {
		if !p.fits(q) {
			return SheetResult{Status: Infeasible}, nil
		}
	}
	s := newSheetSolver(ctx, p, o)
	s.solve()
	return s.result(), nil
}

// CheckSheets holds a plan against its problem, sharing no code with the search.
func CheckSheets(p SheetProblem, r SheetResult) error {
	if r.Status != Optimal && r.Status != Feasible {
		return nil
	}
	if len(r.Places) != len(p.Items) {
		return fmt.Errorf("%d places for %d items", len(r.Places), len(p.Items))
	}
	if r.Bound > r.Sheets || (r.Status == Optimal) != (r.Bound == r.Sheets) {
		return fmt.Errorf("status %v with %d sheets and bound %d", r.Status, r.Sheets, r.Bound)
	}
	bySheet := make([][][4]int64, r.Sheets)
	for i, q := range r.Places {
		it := p.Items[i]
		switch {
		case q.W == it.W && q.H == it.H, p.Rotate && q.W == it.H && q.H == it.W:
		default:
			return fmt.Errorf("item %d is %d × %d, placed as %d × %d", i, it.W, it.H, q.W, q.H)
		}
		if q.Sheet < 0 || q.Sheet >= r.Sheets || q.X < 0 || q.Y < 0 || q.X+q.W > p.W || q.Y+q.H > p.H {
			return fmt.Errorf("item %d leaves sheet %d of %d", i, q.Sheet, r.Sheets)
		}
		bySheet[q.Sheet] = append(bySheet[q.Sheet], [4]int64{q.X, q.Y, q.W, q.H})
	}
	for k, list := range bySheet {
		if len(list) == 0 {
			return fmt.Errorf("sheet %d is empty", k)
		}
		if !edgeToEdge(list, p.Kerf) {
			return fmt.Errorf("sheet %d: pieces overlap, lie closer than the kerf, or cannot be cut from edge to edge", k)
		}
	}
	return nil
}
