package scheduler

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

func made(t testing.TB, in Input) *Plan {
	t.Helper()
	p, err := Make(context.Background(), in)
	if err != nil {
		t.Fatalf("Make: %v", err)
	}
	if err := CheckPlan(p); err != nil {
		t.Fatalf("CheckPlan: %v", err)
	}
	return p
}

// Twenty random jobs of up to 300 pieces and more, over the change to summer
// time, each held to the independent check.
func TestRandomJobsKeepTheirRules(t *testing.T) {
	for seed := uint64(1); seed <= 20; seed++ {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			in := small(t, seed, 1+int(seed%3))
			p := made(t, in)
			if len(p.Areas) == 0 || len(p.Sheets) == 0 {
				t.Fatalf("%d areas, %d sheets", len(p.Areas), len(p.Sheets))
			}
			if p.Bound > p.Finish {
				t.Errorf("bound %d after finish %d", p.Bound, p.Finish)
			}
		})
	}
}

// The same input gives the same plan on one processor and on several, with a
// memory of what was made before and without, and for crews that are alike.
func TestSameInputSamePlan(t *testing.T) {
	in := small(t, 5, 3)
	twin := in.Firm.Crews[0]
	twin.Key, twin.Name = "twin", "Twin"
	in.Firm.Crews = append(slices.Clone(in.Firm.Crews), twin)
	write := func() string {
		p := made(t, in)
		b, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	first := write()
	if write() != first {
		t.Error("two runs on the same input differ")
	}
	in.Memory = &takeoff.Memory{}
	for range 2 {
		if write() != first {
			t.Error("a run with a memory differs")
		}
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if write() != first {
		t.Error("a run on one processor differs")
	}
}

// A crew like another does a room with the same tasks, under its own name.
func TestCrewsAlikeShareTasks(t *testing.T) {
	s := &shape{seq: []*task{{id: "a", crew: "alder"}, {id: "b", crew: "alder", fixed: &Activity{}}, {id: "c"}}}
	s.seq[2].after = []lag{{task: s.seq[0], most: -1}}
	s.missed = []missed{{s.seq[1], s.seq[2], 5}}
	got := s.lent("alder", "birch")
	for i, want := range []string{"birch", "alder", ""} {
		if got.seq[i].crew != want || got.seq[i].id != s.seq[i].id || got.seq[i] == s.seq[i] {
			t.Errorf("task %d: %+v", i, got.seq[i])
		}
	}
	if got.seq[2].after[0].task != got.seq[0] || got.missed[0].from != got.seq[1] || got.missed[0].to != got.seq[2] {
		t.Error("what waits for a task waits for the other crew's")
	}
	if s.seq[0].crew != "alder" || s.seq[2].after[0].task != s.seq[0] {
		t.Error("the tasks that were lent have changed")
	}
}

func TestRefusals(t *testing.T) {
	cases := []struct {
		name   string
		change func(*Input)
		want   string
	}{
		{"no crew", func(in *Input) { in.Firm.Crews = nil }, "has no crew"},
		{"no hours", func(in *Input) { in.Firm.Crews[0].Hours = nil }, "crew alder has no hours"},
		{"no such crew", func(in *Input) { in.Jobs[0].Sites[0].Rooms[0].Crew = "cedar" }, `crew "cedar" does not exist`},
		{"no such recipe", func(in *Input) { in.Jobs[0].Sites[0].Rooms[0].Recipe = "sauna" }, `recipe "sauna" does not exist`},
		{"circular recipe", func(in *Input) {
			in.Firm.Recipes = []Recipe{{Key: "odd", Steps: []Step{{Kind: "prepare"}, {Kind: "grout"}, {Kind: "set"}}}}
			in.Jobs[0].Sites[0].Rooms[0].Recipe = "odd"
		}, "circular"},
		{"circular hold", func(in *Input) {
			in.Jobs[0].Sites[0].Rooms[0].Holds = []rooms.Hold{{Key: "plumber", Why: "plumber sets the tray", After: "grout", Before: "prepare", Minutes: 60}}
		}, "circular"},
		{"hold without its activity", func(in *Input) {
			in.Jobs[0].Sites[0].Rooms[0].Holds = []rooms.Hold{{Key: "plumber", Why: "plumber", After: "board", Minutes: 60}}
		}, `no activity "board"`},
		{"too cold", func(in *Input) { in.Jobs[0].Sites[0].Rooms[0].Celsius = 3 }, "may not be used below 5 °C"},
		{"unknown order", func(in *Input) { in.Jobs[0].Sites[0].Rooms[0].Order = "roof first" }, `order of work "roof first"`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			in := small(t, 3, 1)
			in.Jobs[0].Sites[0].Rooms = append(in.Jobs[0].Sites[0].Rooms, in.Jobs[0].Sites[1].Rooms...)
			in.Jobs[0].Sites[1].Rooms = nil
			c.change(&in)
			_, err := Make(context.Background(), in)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want an error with %q", err, c.want)
			}
		})
	}
}

// A membrane that must be covered sooner than it may be tiled cannot be.
func TestInfeasibleInTradeWords(t *testing.T) {
	in := small(t, 3, 1)
	for i := range in.Jobs[0].Sites {
		for r := range in.Jobs[0].Sites[i].Rooms {
			s := &in.Jobs[0].Sites[i].Rooms[r].Surfaces[0]
			s.Wet, s.Prepare = true, []string{"membrane"}
		}
	}
	for i := range in.Firm.Catalogue.Products {
		if p := &in.Firm.Catalogue.Products[i]; p.Key == "skin" {
			p.Sheet.TileAfter, p.Sheet.CoverWithin = 48*60, 24*60
		}
	}
	_, err := Make(context.Background(), in)
	var not *Infeasible
	if !errors.As(err, &not) {
		t.Fatalf("got %v, want an Infeasible", err)
	}
	if !strings.Contains(not.Text, "membrane") || len(not.Rooms) == 0 {
		t.Errorf("the text names no membrane or room: %q, rooms %v", not.Text, not.Rooms)
	}
}

// Cures run on the clock through the weekend, and no work lies on holidays.
func TestCuresRunThroughWeekends(t *testing.T) {
	in := small(t, 8, 2)
	in.Firm.Days.Off = []rooms.Date{day("2026-03-25")}
	p := made(t, in)
	clock := Clock{p.Epoch, in.Firm.Zone}
	over := 0
	for _, a := range p.Activities {
		if a.Crew == "" {
			continue
		}
		if d := clock.Day(a.Start); d == day("2026-03-25") || d.Weekday() == 0 || d.Weekday() == 6 {
			t.Errorf("%s works on %s", a.ID, d)
		}
		for _, l := range a.After {
			i := slices.IndexFunc(p.Activities, func(b Activity) bool { return b.ID == l.Activity })
			if b := p.Activities[i]; l.Least >= 720 && a.Start-b.Finish >= l.Least && clock.Day(b.Finish).Weekday() == 5 {
				over++
			}
		}
	}
	if over == 0 {
		t.Error("no cure of this plan runs over a weekend: the test shows nothing")
	}
}

// Little or nothing to plan is no error.
func TestSmallestInputs(t *testing.T) {
	cases := map[string]func(*Input){
		"no job":     func(in *Input) { in.Jobs = nil },
		"no room":    func(in *Input) { in.Jobs[0].Sites = nil },
		"no surface": func(in *Input) { in.Jobs[0].Sites[0].Rooms = []rooms.Room{{Key: "hall", Celsius: 20}} },
		"no zone":    func(in *Input) { in.Jobs[0].Sites[0].Rooms = []rooms.Room{plain("hall")} },
		"nobody in a hurry": func(in *Input) {
			for s := range in.Jobs[0].Sites {
				for r := range in.Jobs[0].Sites[s].Rooms {
					in.Jobs[0].Sites[s].Rooms[r].Due = rooms.Date{}
				}
			}
		},
	}
	for name, change := range cases {
		t.Run(name, func(t *testing.T) {
			in := small(t, 6, 1)
			change(&in)
			p := made(t, in)
			if p.Bound > p.Finish {
				t.Errorf("bound %d after finish %d", p.Bound, p.Finish)
			}
		})
	}
}

// plain is a room whose floor is only levelled.
func plain(key string) rooms.Room {
	s := rectangle("floor", rooms.Floor, 2000*mm, 1500*mm, rooms.Zone{})
	s.Zones, s.Prepare, s.LevellerDepth = nil, []string{"prime", "level"}, 5*mm
	return rooms.Room{Key: key, Celsius: 18, People: 2, Surfaces: []rooms.Surface{s}}
}

// A caller that gives up gets an error, not half a plan.
func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if p, err := Make(ctx, small(t, 2, 2)); err == nil {
		t.Errorf("got a plan that ends at minute %d", p.Finish)
	}
}

// Plans that run over a change of the clocks, in zones at both ends of the day,
// keep their cures and hours.
func TestPlansOverClockChanges(t *testing.T) {
	cases := []struct{ zone, today, start, change string }{
		{"Europe/Berlin", "2026-10-12", "2026-10-15", "2026-10-25"},
		{"America/New_York", "2026-10-20", "2026-10-23", "2026-11-01"},
		{"Pacific/Auckland", "2026-09-14", "2026-09-17", "2026-09-27"},
		{"Pacific/Niue", "2026-12-20", "2026-12-23", "2026-12-31"},
		{"Pacific/Kiritimati", "2028-02-18", "2028-02-21", "2028-02-29"},
	}
	for i, c := range cases {
		t.Run(c.zone, func(t *testing.T) {
			in := small(t, uint64(20+i), 2)
			in.Firm.Zone, in.Today = zone(t, c.zone), day(c.today)
			in.Jobs[0].Start = day(c.start)
			for s := range in.Jobs[0].Sites {
				for r := range in.Jobs[0].Sites[s].Rooms {
					room := &in.Jobs[0].Sites[s].Rooms[r]
					room.Due, room.Holds = day(c.change), nil
				}
			}
			p := made(t, in)
			clock := Clock{p.Epoch, in.Firm.Zone}
			if !clock.Day(p.Finish).Before(day(c.change)) {
				return
			}
			t.Errorf("the plan ends on %s, before the day it is to run over", clock.Day(p.Finish))
		})
	}
}
