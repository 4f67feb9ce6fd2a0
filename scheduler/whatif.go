package scheduler

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"potlife/rooms"
	"potlife/takeoff"
)

// Kinds of Change.
const (
	MoreSetters  = "more setters"  // Crew, Count (negative: fewer)
	MoreHelpers  = "more helpers"  // Crew, Count
	CrewAway     = "crew away"     // Crew, From, To
	CrewExtra    = "extra day"     // Crew, From … To are worked too
	SupplierLate = "supplier late" // Supplier, Count in days
	OrderLate    = "order late"    // Order, placed and still to come; Count in days
	RoomCrew     = "room to crew"  // Room, Crew
	RoomDue      = "room due"      // Room, From: the new due date
	RoomReady    = "room ready"    // Room, From: the day on which it is ready
	RoomOrder    = "order of work" // Room, Text
	RoomFirst    = "room first"    // Room is done before all others
	PersonAway   = "person away"   // one of Crew, From … To; Text "helper" for a helper, or a name
)

// Change is one thing that could be otherwise.
type Change struct {
	Kind                              string
	Crew, Room, Supplier, Order, Text string
	From, To                          rooms.Date
	Count                             int
}

// Answer compares the plan as it would be with the plan as it is.
type Answer struct {
	Was, Is *Plan
	Rooms   []Shift
	Text    []string
}

// Shift is what a change does to one room.
type Shift struct {
	Room            string
	Was, Is         int // finish, in minutes since the epoch of either plan
	LateWas, LateIs int
	MovedDays       int // later (+) or earlier (-), in calendar days
	CrewWas, CrewIs string
	BlockedIs       string
}

// WhatIf plans in as it is and with the changes, and says what differs. Nothing
// is saved, and in is left alone.
func WhatIf(ctx context.Context, in Input, changes ...Change) (*Answer, error) {
	was, err := Make(ctx, in)
	if err != nil {
		return nil, fmt.Errorf("the plan as it is: %w", err)
	}
	next := in
	for _, c := range changes {
		if next, err = c.apply(next); err != nil {
			return nil, err
		}
	}
	is, err := Make(ctx, next)
	if err != nil {
		return nil, fmt.Errorf("with this change: %w", err)
	}
	return Compare(was, is), nil
}

// apply returns in with the change, sharing nothing it alters.
func (c Change) apply(in Input) (Input, error) {
	switch c.Kind {
	case MoreSetters, MoreHelpers, CrewAway, CrewExtra, PersonAway:
		return c.onCrew(in)
	case RoomCrew, RoomDue, RoomReady, RoomOrder, RoomFirst:
		return c.onRoom(in)
	case SupplierLate, OrderLate:
		if c.Count < 0 {
			return in, fmt.Errorf("%w: goods that come late by %s come early, which is no question here: say 1 or more", ErrInput, dayCount(c.Count))
		}
		if c.Kind == OrderLate {
			return c.onOrder(in)
		}
		return c.onSupplier(in)
	}
	return in, fmt.Errorf("%w: change %q is not known", ErrInput, c.Kind)
}

func (c Change) onCrew(in Input) (Input, error) {
	in.Firm.Crews = slices.Clone(in.Firm.Crews)
	i := slices.IndexFunc(in.Firm.Crews, func(k Crew) bool { return k.Key == c.Crew })
	if i < 0 {
		return in, fmt.Errorf("%w: crew %q does not exist", ErrInput, c.Crew)
	}
	k := &in.Firm.Crews[i]
	switch c.Kind {
	case MoreSetters:
		if k.Setters+c.Count < 1 {
			return in, fmt.Errorf("%w: crew %q has %d setters: %d fewer leaves none to set; take away %d at most, or ask what the crew away would do", ErrInput, c.Crew, k.Setters, -c.Count, max(0, k.Setters-1))
		}
		k.resize(false, c.Count)
	case MoreHelpers:
		if k.Helpers+c.Count < 0 {
			return in, fmt.Errorf("%w: crew %q has %d helpers: %d fewer is not possible", ErrInput, c.Crew, k.Helpers, -c.Count)
		}
		k.resize(true, c.Count)
	case CrewAway:
		k.Off = append(slices.Clone(k.Off), c.days()...)
	case PersonAway:
		days := c.days()
		if c.From.IsZero() {
			return in, fmt.Errorf("%w: on which days somebody of crew %q is away is not said", ErrInput, c.Crew)
		}
		a := Absence{Helper: c.Text == "helper", From: days[0], To: days[len(days)-1]}
		if p, ok := k.Named(c.Text); ok {
			a.Who, a.Helper = p.Name, p.Helper
		} else if c.Text != "" && c.Text != "setter" && c.Text != "helper" {
			return in, fmt.Errorf("%w: crew %q has nobody called %q: say setter or helper, or one of its people", ErrInput, c.Crew, c.Text)
		}
		k.Away = slices.Concat(k.Away, k.Missing(a))
	case CrewExtra:
		k.On = append(slices.Clone(k.On), c.days()...)
	}
	return in, nil
}

// days are those from From to To, a year at most.
func (c Change) days() []rooms.Date {
	var out []rooms.Date
	for d := c.From; !c.To.Before(d) && len(out) < 366; d = d.AddDays(1) {
		out = append(out, d)
	}
	if len(out) == 0 && !c.From.IsZero() {
		out = append(out, c.From)
	}
	return out
}

func (c Change) onRoom(in Input) (Input, error) {
	in.Jobs = withDefaults(in.Jobs)
	for j := range in.Jobs {
		for s := range in.Jobs[j].Sites {
			for r := range in.Jobs[j].Sites[s].Rooms {
				room := &in.Jobs[j].Sites[s].Rooms[r]
				if in.Jobs[j].Key+"/"+room.Key != c.Room {
					continue
				}
				switch c.Kind {
				case RoomCrew:
					room.Crew = c.Crew
				case RoomDue:
					room.Due = c.From
				case RoomReady:
					room.Ready = c.From
				case RoomOrder:
					room.Order = c.Text
				case RoomFirst:
					in.First = append([]string{c.Room}, in.First...)
				}
				return in, nil
			}
		}
	}
	return in, fmt.Errorf("%w: room %q does not exist", ErrInput, c.Room)
}

// onSupplier makes what has not come yet come later: orders placed, and orders
// still to be placed.
func (c Change) onSupplier(in Input) (Input, error) {
	in.Firm.Catalogue.Suppliers = slices.Clone(in.Firm.Catalogue.Suppliers)
	i := slices.IndexFunc(in.Firm.Catalogue.Suppliers, func(s takeoff.Supplier) bool { return s.Key == c.Supplier })
	if i < 0 {
		return in, fmt.Errorf("%w: supplier %q does not exist", ErrInput, c.Supplier)
	}
	in.Firm.Catalogue.Suppliers[i].LeadDays += max(0, c.Count)
	return c.delay(in, func(o takeoff.Order) bool { return o.Supplier == c.Supplier }), nil
}

// onOrder makes one order come later. Of an order that is only a draft nothing
// is known but its supplier, and of one that has come nothing can be late.
func (c Change) onOrder(in Input) (Input, error) {
	if !slices.ContainsFunc(in.Placed, func(o takeoff.Order) bool { return o.Key == c.Order }) {
		return in, fmt.Errorf("%w: order %q is not placed; ask about its supplier instead", ErrInput, c.Order)
	}
	if slices.ContainsFunc(in.Received, func(r Receipt) bool { return r.Order == c.Order }) {
		return in, fmt.Errorf("%w: goods of order %q have already come", ErrInput, c.Order)
	}
	return c.delay(in, func(o takeoff.Order) bool { return o.Key == c.Order }), nil
}

// delay moves the placed orders that are late by Count days, but for those of
// which something has come.
func (c Change) delay(in Input, late func(takeoff.Order) bool) Input {
	came := map[string]bool{}
	for _, r := range in.Received {
		came[r.Order] = true
	}
	in.Placed = slices.Clone(in.Placed)
	for k := range in.Placed {
		if o := &in.Placed[k]; late(*o) && !came[o.Key] {
			MoveDelivery(o, o.Delivery.AddDays(c.Count))
		}
	}
	return in
}

// Compare says what differs between two plans in force, room by room: what moved
// after a report, and what holds each room now.
func Compare(was, is *Plan) *Answer {
	a := &Answer{Was: was, Is: is}
	before := map[string]RoomDate{}
	for _, d := range was.RoomDates {
		before[d.Room] = d
	}
	crewWas, crewIs := roomCrews(was), roomCrews(is)
	x, y, called := clockOf(was), clockOf(is), called(&is.Firm, is.Jobs)
	for _, d := range is.RoomDates {
		b, ok := before[d.Room]
		if !ok {
			continue
		}
		s := Shift{Room: d.Room, Was: b.Finish, Is: d.Finish, LateWas: b.LateDays, LateIs: d.LateDays,
			CrewWas: crewWas[d.Room], CrewIs: crewIs[d.Room], BlockedIs: d.Blocked}
		from, to := x.Day(b.Finish), y.Day(d.Finish)
		s.MovedDays = daysBetween(from, to) - daysBetween(to, from)
		if s.Was != s.Is || s.CrewWas != s.CrewIs || s.LateWas != s.LateIs {
			a.Rooms = append(a.Rooms, s)
			a.Text = append(a.Text, s.words(to, called))
		}
	}
	end := func(c Clock, p *Plan) string { return c.Words(p.Finish) }
	if was.Finish != is.Finish {
		a.Text = append(a.Text, fmt.Sprintf("all is finished %s instead of %s", end(y, is), end(x, was)))
	}
	if len(a.Text) == 0 {
		a.Text = []string{"nothing changes"}
	}
	return a
}

func (s Shift) words(to rooms.Date, called names) string {
	t := fmt.Sprintf("%s: handed over %s", called.room(s.Room), to.Words())
	switch {
	case s.MovedDays > 0:
		t += fmt.Sprintf(", %s later", dayCount(s.MovedDays))
	case s.MovedDays < 0:
		t += fmt.Sprintf(", %s earlier", dayCount(-s.MovedDays))
	}
	if s.LateIs != s.LateWas {
		t += fmt.Sprintf(", %s late instead of %d", dayCount(s.LateIs), s.LateWas)
	}
	if s.MovedDays > 0 && s.BlockedIs != "" {
		t += "; " + s.BlockedIs
	}
	if s.CrewIs != s.CrewWas {
		t += fmt.Sprintf(", by %s instead of %s", called.crew(s.CrewIs), called.crew(s.CrewWas))
	}
	return t
}

func roomCrews(p *Plan) map[string]string {
	out := map[string]string{}
	for _, a := range p.Activities {
		if a.Crew != "" {
			out[a.Room] = a.Crew
		}
	}
	return out
}

func dayCount(n int) string { return several(n, "day") }

// several is a number with its noun: "1 mix", "3 mixes", "2 activities".
func several(n int, noun string) string {
	return rooms.Grouped(strconv.Itoa(n)) + " " + rooms.Plural(noun, float64(n))
}
