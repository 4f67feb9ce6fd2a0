package app

import (
	"context"
	"errors"
	"time"

	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/scheduler"
)

var _ web.Outlook = Pages{}

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
