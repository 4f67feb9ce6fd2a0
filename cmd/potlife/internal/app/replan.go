package app

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"potlife/cmd/potlife/internal/onceprinted"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// ErrNothing says that there is nothing to plan yet.
var ErrNothing = errors.New("no firm and job have been imported yet")

// tries is how often a plan is made again because another process put one in
// force meanwhile.
const tries = 4

// Replan makes a plan from everything the database holds and puts it in force.
// What has been issued stays as it stands. A plan that does not keep the rules
// when checked afresh is refused and the one in force stays.
func (a *App) Replan(ctx context.Context, reason string) (*store.SavedPlan, error) {
	a.replanning.Lock()
	defer a.replanning.Unlock()
	for try := 1; ; try++ {
		saved, err := a.replanOnce(ctx, reason)
		if errors.Is(err, store.ErrConflict) && try < tries {
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("plan (%s): %w", reason, err)
		}
		a.log.Info("plan in force", "plan", saved.ID, "reason", reason, "finish", saved.Finish, "status", saved.Status)
		return saved, nil
	}
}

func (a *App) replanOnce(ctx context.Context, reason string) (*store.SavedPlan, error) {
	now := a.now()
	// First the basis, then the input: what comes in between the two makes the
	// plan count as overtaken, and it is made again.
	basis, err := a.o.Store.Basis(ctx)
	if err != nil {
		return nil, err
	}
	days, err := a.o.Store.IssuedDays(ctx)
	if err != nil {
		return nil, err
	}
	in, prior, err := a.planInput(ctx, now)
	if err != nil {
		return nil, err
	}
	plan, err := scheduler.Make(ctx, *in)
	if err != nil {
		return nil, err
	}
	doc, text, printed, err := a.documentOf(plan)
	if err != nil {
		return nil, err
	}
	id, err := a.o.Store.SavePlan(ctx, store.NewPlan{Plan: plan, Document: text, Printed: printed, Reason: reason, Basis: basis, Replaces: prior, Days: &days}, now)
	if err != nil {
		return nil, err
	}
	a.plans.put(id, doc) // so that the next page or report need not read it back
	return &store.SavedPlan{Plan: plan, Document: text, PlanInfo: store.PlanInfo{ID: id, MadeAt: now, Status: plan.Status,
		Finish: plan.Epoch.Add(time.Duration(plan.Finish) * time.Minute), Bound: plan.Epoch.Add(time.Duration(plan.Bound) * time.Minute)}}, nil
}

// planInput reads what a plan depends on; prior is the number of the plan in
// force, 0 for none.
func (a *App) planInput(ctx context.Context, now time.Time) (*scheduler.Input, int64, error) {
	s := a.o.Store
	firm, jobs, err := s.FirmAndJobs(ctx)
	if errors.Is(err, store.ErrNotFound) || err == nil && len(jobs) == 0 {
		return nil, 0, ErrNothing
	}
	if err != nil {
		return nil, 0, err
	}
	today := rooms.DateOf(now.In(firm.Zone))
	prices, err := s.Prices(ctx)
	if err != nil {
		return nil, 0, err
	}
	store.PriceOn(&firm.Catalogue, prices, today)
	from, err := a.notBefore(firm, now)
	if err != nil {
		return nil, 0, err
	}
	if firm.Catalogue.Offcuts, err = s.OffcutsInHand(ctx); err != nil {
		return nil, 0, err
	}
	in := &scheduler.Input{Firm: *firm, Jobs: jobs, Today: today, Now: now, From: from, Memory: a.memory}
	records, err := s.RecordsByTime(ctx)
	if err != nil {
		return nil, 0, err
	}
	var prior int64
	if in.Prior, in.Withdrawn, prior, err = a.priorPlan(ctx, records); err != nil {
		return nil, 0, err
	}
	if in.Frozen, err = s.Frozen(ctx); err != nil {
		return nil, 0, err
	}
	if in.Received, err = s.Received(ctx); err != nil {
		return nil, 0, err
	}
	placed, err := s.Placed(ctx)
	if err != nil {
		return nil, 0, err
	}
	in.Placed = overdue(placed, in.Received, today, rooms.DateOf(from.In(firm.Zone)))
	in.Records = planRecords(records, in.Prior)
	return in, prior, nil
}

// notBefore is the instant before which no new work of the firm is planned.
func (a *App) notBefore(firm *scheduler.Firm, now time.Time) (time.Time, error) {
	schedule, zone, err := a.scheduleOf(firm)
	if err != nil {
		return time.Time{}, err
	}
	fired, ok := LastFire(schedule, zone, now)
	if !ok {
		fired = now.AddDate(0, 0, -1)
	}
	return NotBefore(firm.Zone, fired, now), nil
}

// overdue moves the delivery of placed orders that should have come before a day
// and have not: the earliest day on which they can still come is tomorrow, and
// what waits for them moves along. Once the next day is to be issued, what was
// due today is overdue as well.
func overdue(placed []takeoff.Order, received []scheduler.Receipt, today, before rooms.Date) []takeoff.Order {
	came := map[string]bool{}
	for _, r := range received {
		came[r.Order] = true
	}
	out := make([]takeoff.Order, 0, len(placed))
	for _, o := range placed {
		if !came[o.Key] && o.Delivery.Before(before) {
			o.Notes = strings.TrimSpace(fmt.Sprintf("%s %s on %s, not received yet.", o.Notes, scheduler.OverdueNote, o.Delivery.Words()))
			scheduler.MoveDelivery(&o, today.AddDays(1))
		}
		out = append(out, o)
	}
	return out
}

// sound is a document that was found to keep the rules, as it was printed.
type sound struct {
	plan    *scheduler.Plan
	doc     *plandoc.Document
	printed *onceprinted.Text[plandoc.Document]
}

// documentOf writes a plan's document, and the plan as it is stored, and holds the plan
// to its rules by the two checkers that share nothing with what made it. Neither looks again at what the
// last sound document drew the same. The caller holds replanning.
func (a *App) documentOf(p *scheduler.Plan) (*plandoc.Document, []byte, *store.PrintedPlan, error) {
	var own, printing, storing error
	var stored *store.PrintedPlan
	var found []plandoc.Breach
	now := sound{}
	var wg sync.WaitGroup
	wg.Go(func() { own = scheduler.CheckPlan(p) })
	wg.Go(func() { stored, storing = a.o.Store.PrintPlan(p) })
	wg.Go(func() {
		now.plan, now.doc = p, plandoc.FromPlanAfter(p, a.sound.plan, a.sound.doc)
		wg.Go(func() { found = plandoc.CheckAfter(now.doc, a.sound.doc) })
		now.printed, printing = onceprinted.Print(now.doc, a.sound.printed)
	})
	wg.Wait()
	if own != nil {
		return nil, nil, nil, fmt.Errorf("the plan does not keep its own rules and is not used: %w", own)
	}
	if len(found) > 0 {
		return nil, nil, nil, fmt.Errorf("the plan does not keep %d rules and is not used; the first: %s", len(found), found[0])
	}
	if err := errors.Join(printing, storing); err != nil {
		return nil, nil, nil, err
	}
	a.sound = now
	return now.doc, now.printed.Bytes, stored, nil
}
