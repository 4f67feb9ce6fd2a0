package app

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"slices"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/rooms"
	"potlife/scheduler"
)

// Revise compares every sheet that is out for today or later with what the plan
// in force says of that day, and issues the next revision, with the list of
// what changed, where they differ.
func (a *App) Revise(ctx context.Context) ([]Outcome, error) {
	firm, err := a.o.Store.Firm(ctx)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	days, err := a.o.Store.WorkDays(ctx, rooms.DateOf(a.now().In(firm.Zone)))
	if err != nil || len(days) == 0 {
		return nil, err
	}
	after, doc, err := a.current(ctx)
	if err != nil {
		return nil, err
	}
	var out []Outcome
	for _, d := range slices.Backward(days) { // a piece that comes back to a day leaves the later one first
		o, err := a.reviseDay(ctx, d, after.ID, doc)
		if err != nil {
			return out, fmt.Errorf("revise the sheet of crew %s on %s: %w", d.Crew, d.Date(), err)
		}
		if o != nil {
			out = append(out, *o)
		}
	}
	if len(out) > 0 {
		a.somethingToSend()
	}
	return out, nil
}

func (a *App) reviseDay(ctx context.Context, d store.WorkDay, plan int64, doc *plandoc.Document) (*Outcome, error) {
	issue, err := a.o.Store.CurrentIssue(ctx, d.Crew, d.Date())
	if err != nil || issue.Plan == nil || *issue.Plan == plan {
		return nil, err
	}
	was, err := a.document(ctx, *issue.Plan)
	if err != nil {
		return nil, err
	}
	date := d.Date().String()
	i, j := sheetIndex(was, d.Crew, date), sheetIndex(doc, d.Crew, date)
	if i < 0 || j < 0 || sameDay(was, i, doc, j) {
		return nil, nil
	}
	before, err := a.o.Store.PlanByID(ctx, *issue.Plan)
	if err != nil {
		return nil, err
	}
	now, err := a.o.Store.PlanByID(ctx, plan)
	if err != nil {
		return nil, err
	}
	differences := doc.Say(scheduler.Differences(before.Plan, now.Plan, d.Crew, d.Date()))
	if len(differences) == 0 {
		return nil, nil
	}
	moved := slices.Clone(issue.Moved)
	for _, text := range movedWords(doc, before.Plan, now.Plan, d.Crew, d.Date()) {
		if !slices.Contains(moved, text) {
			moved = append(moved, text)
		}
	}
	n, err := a.newIssue(ctx, plan, doc, j, said{revision: issue.Revision + 1, differences: differences, moved: moved})
	if err != nil {
		return nil, err
	}
	done, err := a.o.Store.IssueSheet(ctx, n, a.now())
	if err != nil || !done {
		return nil, err
	}
	a.log.Info("sheet issued", "crew", d.Crew, "date", date, "revision", n.Revision, "differences", len(differences))
	return &Outcome{Crew: d.Crew, Date: d.Date(), Issued: n.Revision}, nil
}

// sameDay reports whether two plans say the same of a sheet: the sheet itself,
// its activities, areas, mixes and the cuts of its pieces.
func sameDay(a *plandoc.Document, i int, b *plandoc.Document, j int) bool {
	s, t := a.Sheets[i], b.Sheets[j]
	s.Revision, t.Revision = 0, 0
	return reflect.DeepEqual(s, t) && reflect.DeepEqual(dayParts(a, s), dayParts(b, t))
}

// dayParts are the parts of a plan that a sheet shows; an activity's state is
// left out, since having been issued is no change of the work.
func dayParts(d *plandoc.Document, s plandoc.Sheet) []any {
	on := map[string]bool{}
	for _, id := range append(append([]string{}, s.Activities...), s.Areas...) {
		on[id] = true
	}
	var out []any
	for _, act := range d.Activities {
		if on[act.ID] {
			act.State, act.Critical, act.After = "", false, nil
			out = append(out, act)
		}
	}
	pieces := map[string]bool{}
	for _, area := range d.Areas {
		if on[area.ID] {
			out = append(out, area)
			for _, p := range area.Pieces {
				pieces[p] = true
			}
		}
	}
	for _, m := range d.Mixes {
		if on[m.Activity] || slices.ContainsFunc(m.Also, func(w plandoc.MixWork) bool { return on[w.Activity] }) {
			out = append(out, m)
		}
	}
	for _, f := range d.Surfaces {
		for _, z := range f.Zones {
			for _, p := range z.Pieces {
				if pieces[p.ID] {
					out = append(out, p)
				}
			}
		}
	}
	return out
}
