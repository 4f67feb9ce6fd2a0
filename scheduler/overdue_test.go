package scheduler

import (
	"context"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// A room whose day is over stays late by every day since, goes before one that
// is due later, and is told among the findings.
func TestDueDaysThatAreOver(t *testing.T) {
	at := func(p *Plan, room string) RoomDate {
		return p.RoomDates[slices.IndexFunc(p.RoomDates, func(d RoomDate) bool { return d.Room == room })]
	}
	for _, ago := range []int{1, 2, 30, 400} {
		in := small(t, 3, 2)
		in.Firm.Crews = in.Firm.Crews[:1]
		var last *rooms.Room
		for s := range in.Jobs[0].Sites {
			for r := range in.Jobs[0].Sites[s].Rooms {
				last = &in.Jobs[0].Sites[s].Rooms[r]
				last.Due = in.Today.AddDays(60)
			}
		}
		key := "job/" + last.Key
		free := made(t, in)
		last.Due = in.Today.AddDays(-ago)
		p := made(t, in)
		d := at(p, key)
		done := Clock{p.Epoch, in.Firm.Zone}.Day(d.Finish - 1)
		if want := daysBetween(last.Due, done); d.LateDays != want {
			t.Errorf("due %d days ago and done on %s: %d days late, want %d", ago, done, d.LateDays, want)
		}
		if d.Finish > at(free, key).Finish {
			t.Errorf("due %d days ago it is done at %d, later than the %d of a room that is in time", ago, d.Finish, at(free, key).Finish)
		}
		if !slices.ContainsFunc(p.Findings, func(f takeoff.Finding) bool { return f.Where == key && strings.Contains(f.Message, "after it is due") }) {
			t.Errorf("due %d days ago: nothing is found", ago)
		}
	}
}

// A due date that moves nothing is answered all the same: with the days that the
// room is late by then.
func TestWhatIfItIsDueSooner(t *testing.T) {
	in := small(t, 3, 1)
	room := "job/bath1"
	a, err := WhatIf(context.Background(), in, Change{Kind: RoomDue, Room: room, From: in.Today.AddDays(1)})
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Rooms) != 1 || a.Rooms[0].LateIs <= a.Rooms[0].LateWas || !strings.Contains(a.Text[0], "late instead of") {
		t.Errorf("answer %v, %+v", a.Text, a.Rooms)
	}
}

func TestQuestionsThatMakeNoSense(t *testing.T) {
	in := small(t, 3, 1)
	for want, c := range map[string]Change{
		`crew "cedar" does not exist`: {Kind: CrewAway, Crew: "cedar", From: in.Today, To: in.Today},
		"say 1 or more":               {Kind: SupplierLate, Supplier: "kiln", Count: -3},
	} {
		_, err := WhatIf(context.Background(), in, c)
		if err == nil || !strings.Contains(Said(err), want) || strings.Contains(Said(err), "scheduler:") {
			t.Errorf("%+v: %v", c, err)
		}
	}
}
