package scheduler

import (
	"context"
	"reflect"
	"strings"
	"testing"
)

func TestWhatIf(t *testing.T) {
	in := small(t, 3, 4)
	cases := []struct {
		name   string
		change Change
		check  func(*Answer) bool
	}{
		{"nothing", Change{Kind: MoreHelpers, Crew: "alder"}, func(a *Answer) bool { return a.Text[0] == "nothing changes" }},
		{"a crew away for two weeks", Change{Kind: CrewAway, Crew: "birch", From: day("2026-03-20"), To: day("2026-04-03")}, func(a *Answer) bool { return a.Is.Finish >= a.Was.Finish && len(a.Rooms) > 0 }},
		{"one more setter", Change{Kind: MoreSetters, Crew: "alder", Count: 1}, func(a *Answer) bool { return len(a.Rooms) > 0 }},
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

func TestWhatIfRefusals(t *testing.T) {
	in := small(t, 4, 1)
	for want, c := range map[string]Change{
		`change "magic"`:   {Kind: "magic"},
		`crew "cedar"`:     {Kind: CrewAway, Crew: "cedar"},
		`room "job/attic"`: {Kind: RoomDue, Room: "job/attic"},
		`supplier "moon"`:  {Kind: SupplierLate, Supplier: "moon"},
	} {
		if _, err := WhatIf(context.Background(), in, c); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
}
