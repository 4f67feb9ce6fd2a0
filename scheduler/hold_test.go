package scheduler

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// heldRoom is an input whose first room with a membrane has a hold.
func heldRoom(t *testing.T, h rooms.Hold) (in Input, room string) {
	in = small(t, 3, 2)
	for s := range in.Jobs[0].Sites {
		for r := range in.Jobs[0].Sites[s].Rooms {
			k := &in.Jobs[0].Sites[s].Rooms[r]
			for i := range k.Surfaces {
				if f := &k.Surfaces[i]; f.Wet || asks(f, kindMembrane) {
					k.Holds, k.Due = []rooms.Hold{h}, rooms.Date{}
					return in, in.Jobs[0].Key + "/" + k.Key
				}
			}
		}
	}
	t.Fatal("no room has a membrane")
	return in, ""
}

// A hold that is released by a day ends with that day's work, is printed on it and
// not on the next midnight, and what it holds begins with a later shift.
func TestAHoldEndsWithItsDay(t *testing.T) {
	for _, until := range []string{"2026-04-15", "2026-04-18"} { // a Wednesday and a Saturday
		in, room := heldRoom(t, rooms.Hold{Key: "visit", Why: "the client's visit", Before: "hand over", Until: day(until)})
		p := made(t, in)
		clock := Clock{p.Epoch, p.Firm.Zone}
		end := 0
		for _, a := range p.Activities {
			switch {
			case a.Kind == kindHold && a.Room == room:
				end = a.Finish
				if !strings.Contains(clock.Words(end), day(until).Words()) {
					t.Errorf("a hold until %s ends %s", until, clock.Words(end))
				}
			case a.Kind == kindHandOver && a.Room == room:
				if d := clock.Day(a.Start); !day(until).Before(d) {
					t.Errorf("handed over on %s, held until %s", d, until)
				}
			}
		}
		if end == 0 {
			t.Error("no hold")
		}
	}
}

// Crews that are alike but for the day on which a hold ends are not taken for each
// other: it ends with the work of the one that goes on.
func TestAHoldEndsWithTheDayOfItsCrew(t *testing.T) {
	until := day("2026-04-15")
	in, room := heldRoom(t, rooms.Hold{Key: "visit", Why: "the client's visit", Before: "hand over", Until: until})
	in.Firm.Office = nil
	first, second := in.Firm.Crews[1], in.Firm.Crews[1]
	first.Key, second.Key, first.Off = "first", "second", []rooms.Date{until}
	in.Firm.Crews = []Crew{first, second}
	p := made(t, in)
	clock, crew, end := Clock{p.Epoch, p.Firm.Zone}, "", 0
	for _, a := range p.Activities {
		if a.Room == room && a.Crew != "" {
			crew = a.Crew
		}
		if a.Room == room && a.Kind == kindHold {
			end = a.Finish
		}
	}
	if want := clock.OnDay(until, 17*60); crew == "second" && end != want {
		t.Errorf("the hold ends %s, the crew's day %s", clock.Words(end), clock.Words(want))
	} else if crew != "second" {
		t.Errorf("the room is set by %q: the test shows nothing", crew)
	}
}

// An inspection after the membrane begins when its last coat has cured.
func TestAMembraneIsInspectedWhenItHasCured(t *testing.T) {
	in, room := heldRoom(t, rooms.Hold{Key: "look", Why: "the inspector measures the membrane", After: kindMembrane, Before: "set", Minutes: 60})
	p := made(t, in)
	held, coats := (*Activity)(nil), 0
	for i := range p.Activities {
		if a := &p.Activities[i]; a.Kind == kindHold && a.Room == room {
			held = a
		}
	}
	for _, a := range p.Activities {
		if a.Kind == kindMembrane && a.Room == room && strings.Contains(a.Title, "coat 2 of 2") {
			coats++
			if wait := held.Start - a.Finish; wait < 12*60 {
				t.Errorf("the inspection begins %d min after %s", wait, a.Title)
			}
		}
	}
	if coats == 0 {
		t.Error("no last coat")
	}
	if !strings.Contains(held.After[0].Why+held.After[len(held.After)-1].Why, "cures before it is inspected") {
		t.Errorf("the hold waits for %+v", held.After)
	}
}

// A hold after work that the room has not is told once, whichever crews differ in how
// they cut.
func TestHoldAfterNothingIsToldOnce(t *testing.T) {
	in := loudRoom(t)
	second := in.Firm.Crews[0]
	second.Key, second.Helpers = "lone", 0
	in.Firm.Crews = append(in.Firm.Crews, second)
	in.Jobs[0].Sites[0].Rooms[0].Holds = []rooms.Hold{{Key: "h", Why: "the plumber comes", After: kindMembrane, Before: kindSet}}
	_, err := Make(t.Context(), in)
	if err == nil || strings.Count(err.Error(), "no activity") != 1 {
		t.Errorf("%v", err)
	}
}
