package scheduler

import (
	"context"
	"reflect"
	"slices"
	"strings"
	"testing"

	"potlife/takeoff"
)

func TestWhatIfTellsTheDifference(t *testing.T) {
	in := small(t, 3, 4)
	cases := []struct {
		name   string
		change Change
		check  func(*Answer) bool
	}{
		{"nothing", Change{Kind: MoreHelpers, Crew: "alder"}, func(a *Answer) bool { return a.Text[0] == "nothing changes" }},
		{"a crew away for two weeks", Change{Kind: CrewAway, Crew: "birch", From: day("2026-03-20"), To: day("2026-04-03")}, func(a *Answer) bool { return a.Is.Finish >= a.Was.Finish && len(a.Rooms) > 0 }},
		{"one more setter", Change{Kind: MoreSetters, Crew: "alder", Count: 1}, func(a *Answer) bool { return len(a.Rooms) > 0 }},
		{"the last room first", Change{Kind: RoomFirst, Room: "job/bath4"}, func(a *Answer) bool {
			at := func(p *Plan) int {
				return p.RoomDates[slices.IndexFunc(p.RoomDates, func(d RoomDate) bool { return d.Room == "job/bath4" })].Finish
			}
			return at(a.Is) < at(a.Was)
		}},
		{"one setter of a crew away", Change{Kind: PersonAway, Crew: "birch", From: day("2026-03-20"), To: day("2026-04-24")}, func(a *Answer) bool { return len(a.Rooms) > 0 && a.Is.Finish >= a.Was.Finish }},
		{"the supplier ten days late", Change{Kind: SupplierLate, Supplier: "kiln", Count: 10}, func(a *Answer) bool { return a.Is.Finish > a.Was.Finish }},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			before := small(t, 3, 4)
			a, err := WhatIf(context.Background(), in, c.change)
			if err != nil {
				t.Fatal(err)
			}
			if !c.check(a) {
				t.Errorf("answer %v", a.Text)
			}
			if err := CheckPlan(a.Is); err != nil {
				t.Error(err)
			}
			before.Firm.Zone, in.Firm.Zone = nil, nil
			if !reflect.DeepEqual(in, before) {
				t.Error("the question changed its input")
			}
			in = small(t, 3, 4)
		})
	}
}

// A placed order that is late holds the rooms that wait for it; one of which
// something has come is not late any more.
func TestWhatIfAnOrderIsLate(t *testing.T) {
	in := small(t, 3, 4)
	plan := made(t, in)
	in.Placed = plan.Orders
	tiles := slices.IndexFunc(plan.Orders, func(o takeoff.Order) bool { return o.Supplier == "kiln" })
	change := Change{Kind: OrderLate, Order: plan.Orders[tiles].Key, Count: 10}
	a, err := WhatIf(context.Background(), in, change)
	if err != nil {
		t.Fatal(err)
	}
	if a.Is.Finish <= a.Was.Finish {
		t.Errorf("ten days late and finished as before: %v", a.Text)
	}
	if err := CheckPlan(a.Is); err != nil {
		t.Error(err)
	}
	if in.Placed[tiles].Delivery != plan.Orders[tiles].Delivery {
		t.Error("the question moved the order")
	}
	in.Received = []Receipt{{Order: change.Order, At: in.Today}}
	if _, err := WhatIf(context.Background(), in, change); err == nil || !strings.Contains(err.Error(), "already come") {
		t.Errorf("an order that has come: %v", err)
	}
}

func TestWhatIfRefusals(t *testing.T) {
	in := small(t, 4, 1)
	for want, c := range map[string]Change{
		`change "magic"`:          {Kind: "magic"},
		`crew "cedar"`:            {Kind: CrewAway, Crew: "cedar"},
		`room "job/attic"`:        {Kind: RoomDue, Room: "job/attic"},
		`supplier "moon"`:         {Kind: SupplierLate, Supplier: "moon"},
		`order "9" is not placed`: {Kind: OrderLate, Order: "9", Count: 2},
		`not said`:                {Kind: PersonAway, Crew: "alder"},
		`nobody called "Kim"`:     {Kind: PersonAway, Crew: "alder", Text: "Kim", From: day("2026-03-20"), To: day("2026-03-20")},
		`leaves none`:             {Kind: MoreSetters, Crew: "alder", Count: -5},
		`not possible`:            {Kind: MoreHelpers, Crew: "alder", Count: -9},
	} {
		if _, err := WhatIf(context.Background(), in, c); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
}

func TestShiftWords(t *testing.T) {
	for want, s := range map[string]Shift{
		"job/bath: handed over Fri 20 Mar, 1 day later":                          {Room: "job/bath", MovedDays: 1},
		"job/bath: handed over Fri 20 Mar, 2 days later":                         {Room: "job/bath", MovedDays: 2},
		"job/bath: handed over Fri 20 Mar, 1 day earlier":                        {Room: "job/bath", MovedDays: -1},
		"job/bath: handed over Fri 20 Mar, 1 day later, 1 day late instead of 0": {Room: "job/bath", MovedDays: 1, LateIs: 1},
	} {
		if got := s.words(day("2026-03-20"), names{}); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestWhyIdle(t *testing.T) {
	p := made(t, small(t, 8, 1))
	clock := Clock{p.Epoch, p.Firm.Zone}
	crew := p.Sheets[0].Crew
	works := map[string]bool{}
	for _, s := range p.Sheets {
		works[s.Date.String()] = true
	}
	idle := 0
	for d := p.Sheets[0].Date; d.Before(clock.Day(p.Finish)); d = d.AddDays(1) {
		why := WhyIdle(p, crew, d)
		weekend := d.Weekday() == 0 || d.Weekday() == 6
		switch {
		case works[d.String()] != (why == ""):
			t.Errorf("%s: works %v, reason %q", d, works[d.String()], why)
		case weekend && why != "the crew does not work on this day":
			t.Errorf("%s: %q", d, why)
		case !weekend && why != "":
			idle++
			if !strings.Contains(why, " until ") || !strings.Contains(why, "; next is ") {
				t.Errorf("%s: %q", d, why)
			}
		}
	}
	if idle == 0 {
		t.Error("no idle day in this plan: the test shows nothing")
	}
	if why := WhyIdle(p, crew, clock.Day(p.Finish).AddDays(1)); why == "" {
		t.Error("a day after the end has no reason")
	}
}
