package app

import (
	"context"
	"errors"
	"sync"
	"time"

	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/scheduler"
)

var _ web.Outlook = Pages{}

// likely is a simulation that was run, kept for as long as its plan is in force.
type likely struct {
	mu   sync.Mutex
	plan int64
	said web.Likelihood
}

// Likely says when rooms are handed over in a simulation of the plan in force.
func (p Pages) Likely(ctx context.Context) (web.Likelihood, error) {
	info, err := p.o.Store.CurrentPlanInfo(ctx)
	if err != nil {
		return web.Likelihood{}, refuse(err)
	}
	p.likely.mu.Lock()
	defer p.likely.mu.Unlock()
	if p.likely.plan == info.ID {
		return p.likely.said, nil
	}
	saved, err := p.o.Store.PlanByID(ctx, info.ID)
	if err != nil {
		return web.Likelihood{}, refuse(err)
	}
	risk := scheduler.Simulate(saved.Plan, scheduler.Uncertainty{Seed: 1})
	at := func(minute int) time.Time { return saved.Plan.Epoch.Add(time.Duration(minute) * time.Minute) }
	said := web.Likelihood{Runs: risk.Runs, Half: at(risk.Half), Eighty: at(risk.Eighty), Rooms: map[string]web.RoomLikelihood{}}
	for _, r := range risk.Rooms {
		said.Rooms[r.Room] = web.RoomLikelihood{Half: at(r.Half), Eighty: at(r.Eighty), Chance: r.Chance}
	}
	p.likely.plan, p.likely.said = info.ID, said
	return said, nil
}

// WhatIf plans again with a change and says what differs. Nothing is saved.
func (p Pages) WhatIf(ctx context.Context, c web.Change) (web.Answer, error) {
	change := scheduler.Change{Kind: c.Kind, Crew: c.Crew, Room: c.Room, Supplier: c.Supplier, Order: c.Order, Text: c.Text, Count: c.Count}
	for _, d := range []struct {
		field, text string
		into        *rooms.Date
	}{{"from", c.From, &change.From}, {"to", c.To, &change.To}} {
		if d.text == "" {
			continue
		}
		got, err := rooms.ParseDate(d.text)
		if err != nil {
			return web.Answer{}, &web.Error{Kind: web.Invalid, Field: d.field, Text: err.Error()}
		}
		*d.into = got
	}
	in, _, err := p.planInput(ctx, p.now())
	if errors.Is(err, ErrNothing) {
		return web.Answer{}, &web.Error{Kind: web.NotFound, Text: "There is no plan yet to ask about."}
	}
	if err != nil {
		return web.Answer{}, refuse(err)
	}
	got, err := scheduler.WhatIf(ctx, *in, change)
	if err != nil && ctx.Err() == nil {
		// What the scheduler refuses it says in the trade's words.
		return web.Answer{}, &web.Error{Kind: web.Invalid, Text: p.voice(ctx)([]string{scheduler.Said(err)})[0]}
	}
	if err != nil {
		return web.Answer{}, err
	}
	say := p.voice(ctx)
	out := web.Answer{Text: say(got.Text)}
	out.Rooms = shiftsOf(got.Was, got.Is, got.Rooms, say)
	return out, nil
}

// shiftsOf dates what moves between two plans.
func shiftsOf(was, is *scheduler.Plan, list []scheduler.Shift, say func([]string) []string) (out []web.Shift) {
	at := func(plan *scheduler.Plan, minute int) time.Time {
		return plan.Epoch.Add(time.Duration(minute) * time.Minute)
	}
	for _, s := range list {
		out = append(out, web.Shift{Room: s.Room, Was: at(was, s.Was), Is: at(is, s.Is), LateWas: s.LateWas,
			LateIs: s.LateIs, MovedDays: s.MovedDays, Blocked: say([]string{s.BlockedIs})[0]})
	}
	return out
}

// voice writes sentences of the trade's packages as the plan in force does;
// without a plan they stay as they are.
func (p Pages) voice(ctx context.Context) func([]string) []string {
	_, doc, err := p.current(ctx)
	if err != nil {
		return func(sentences []string) []string { return sentences }
	}
	return doc.Say
}
