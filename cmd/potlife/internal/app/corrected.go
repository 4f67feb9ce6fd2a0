package app

import (
	"context"
	"errors"
	"slices"
	"time"

	"potlife/cmd/potlife/internal/store"
	"potlife/scheduler"
)

// priorPlan is the plan that a new one goes on from, and the number of the plan
// in force, 0 for none. They are the same, unless a report has been corrected
// that the plan in force was made from: then, as long as no further day has been
// issued, the new plan goes on from the plan before that report, as if it had
// never been made. Where a day has been issued since, that day stands, and only
// what the report called done is open again.
func (a *App) priorPlan(ctx context.Context, records []store.Record) (*scheduler.Plan, *scheduler.Withdrawal, int64, error) {
	saved, err := a.o.Store.CurrentState(ctx)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil, 0, nil
	}
	if err != nil {
		return nil, nil, 0, err
	}
	wrong := wrongIn(records, saved.Knows())
	if len(wrong) == 0 {
		return saved.Plan, nil, saved.ID, nil
	}
	first := wrong[0].ID
	for _, r := range wrong {
		first = min(first, r.ID)
	}
	before, err := a.o.Store.PlanWithout(ctx, first)
	switch {
	case err == nil:
		a.log.Info("a report was corrected: planning goes on from before it", "record", first, "plan", before.ID)
		return before.Plan, nil, saved.ID, nil
	case !errors.Is(err, store.ErrNotFound):
		return nil, nil, 0, err
	}
	w, err := a.withdrawal(ctx, wrong)
	return reopened(saved.Plan, wrong), w, saved.ID, err
}

// withdrawal are the pieces that wrong reports called broken, with the last plan
// that did not know of any of them; nil where there are none.
func (a *App) withdrawal(ctx context.Context, wrong []store.Record) (*scheduler.Withdrawal, error) {
	w, first := &scheduler.Withdrawal{}, int64(0)
	for _, r := range wrong {
		if r.Kind != "pieces broken" {
			continue
		}
		w.Pieces = append(w.Pieces, r.Pieces...)
		if first == 0 || r.ID < first {
			first = r.ID
		}
	}
	if first == 0 {
		return nil, nil
	}
	before, err := a.o.Store.PlanBefore(ctx, first)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	w.Before = before.Plan
	return w, nil
}

// wrongIn are the reports a plan was made from (those up to number known) that a
// report it does not know puts right.
func wrongIn(records []store.Record, known int64) []store.Record {
	by := map[string]int64{}
	for _, r := range records {
		if r.Corrects != "" {
			by[r.Corrects] = r.ID
		}
	}
	var out []store.Record
	for _, r := range records {
		if r.ID <= known && by[r.Key] > known && changesPlan(r.Kind) {
			out = append(out, r)
		}
	}
	return out
}

// reopened is the plan with what wrong reports called done counting as issued only.
func reopened(p *scheduler.Plan, wrong []store.Record) *scheduler.Plan {
	done := map[string]bool{}
	for _, r := range wrong {
		switch r.Kind {
		case "activity done":
			done[r.Activity] = true
		case "area done":
			for _, a := range p.Areas {
				if a.ID == r.Area {
					done[a.Activity] = true
				}
			}
		}
	}
	out := *p // the plan itself is shared
	out.Activities = slices.Clone(p.Activities)
	for i := range out.Activities {
		if act := &out.Activities[i]; done[act.ID] && act.State == "done" {
			act.State = "issued"
		}
	}
	return &out
}

// changesPlan reports whether a kind of report says anything of the plan.
func changesPlan(kind string) bool {
	switch kind {
	case "area done", "area not done", "activity done", "activity not done", "pieces broken", "reading", "temperature", "away":
		return true
	}
	return false
}

// planRecords are the reports in force, as planning takes them. Work that was
// reported started and done on one day, without the minutes it took, took the
// crew's working hours between the two.
func planRecords(all []store.Record, prior *scheduler.Plan) []scheduler.Record {
	type work struct{ kind, id, day string }
	started := map[work]store.Record{}
	var out []scheduler.Record
	for _, r := range store.InForce(all) {
		switch r.Kind {
		case "area started":
			started[work{"area done", r.Area, r.Day.String()}] = r
		case "activity started":
			started[work{"activity done", r.Activity, r.Day.String()}] = r
		case "area done", "activity done":
			if from, ok := started[work{r.Kind, r.Area + r.Activity, r.Day.String()}]; ok && r.Minutes == 0 && prior != nil {
				r.Minutes = hoursBetween(prior, r.Crew, from.At, r.At)
			}
		}
		out = append(out, r.Record)
	}
	return out
}

// hoursBetween counts a crew's working minutes between two instants.
func hoursBetween(p *scheduler.Plan, crew string, from, to time.Time) int {
	a, b, n := int(from.Sub(p.Epoch).Minutes()), int(to.Sub(p.Epoch).Minutes()), 0
	for _, h := range p.Hours[crew] {
		n += max(0, min(b, h.End)-max(a, h.Start))
	}
	return n
}
