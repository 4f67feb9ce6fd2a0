package scheduler

import (
	"context"
	"errors"
	"strings"
	"testing"

	"potlife/rooms"
)

// impossible changes an input so that it cannot be planned; the explanation
// names what excludes each other and nothing beside it.
func TestSmallestExplanation(t *testing.T) {
	sheet := func(in *Input, key string) *int {
		for i := range in.Firm.Catalogue.Products {
			if p := &in.Firm.Catalogue.Products[i]; p.Key == key {
				return &p.Sheet.CoverWithin
			}
		}
		return nil
	}
	wet := func(in *Input) {
		for i := range in.Jobs[0].Sites {
			for r := range in.Jobs[0].Sites[i].Rooms {
				room := &in.Jobs[0].Sites[i].Rooms[r]
				room.Holds, room.Celsius = nil, 20
				room.Surfaces[0].Wet, room.Surfaces[0].Prepare = true, []string{"membrane"}
			}
		}
	}
	short := func(in *Input) {
		*sheet(in, "skin") = 12*60 + 30 // in the night, whenever it is put on
		for i := range in.Firm.Crews {
			in.Firm.Crews[i].Hours = weekHours(8, 12, 12, 16)
		}
	}
	for _, c := range []struct {
		name       string
		change     func(*Input)
		with, less []string
	}{
		{"covered before it may be", func(in *Input) {
			wet(in)
			*sheet(in, "skin") = 6 * 60 // it cures 12 h
		}, []string{"at most 6 h after membrane, coat 2", "at least 12 h after membrane, coat 2", "What would help: a product whose data sheet leaves more time"}, []string{"hours of crew", "grout", "not before", "site"}},
		{"covered while nobody works", func(in *Input) {
			wet(in)
			short(in)
			for i := range in.Jobs[0].Sites {
				for r := range in.Jobs[0].Sites[i].Rooms {
					room := &in.Jobs[0].Sites[i].Rooms[r]
					room.Surfaces = room.Surfaces[:1]
					room.Surfaces[0].Outline, room.Surfaces[0].Openings = rooms.Rect(0, 0, 900*mm, 600*mm), nil
				}
			}
		}, []string{"at most 12 h 30 min", "the working hours of Birch", "the work of Birch: membrane, coat 2 of 2 in bath1 ("}, []string{"grout", "not before", "hours of site", "is to be covered within"}},
		{"covered while the rest is set", func(in *Input) {
			wet(in)
			short(in)
		}, []string{"at most 12 h 30 min", "the work of Birch: set east, area ", "Skin is to be covered within 12 h 30 min"}, []string{"grout", "not before", "hours of", "What would help"}},
		{"recoated while nobody works", func(in *Input) {
			wet(in)
			for i := range in.Firm.Catalogue.Products {
				if p := &in.Firm.Catalogue.Products[i]; p.Key == "skin" {
					p.Sheet.RecoatAfter, p.Sheet.RecoatWithin = 5*60, 7*60
				}
			}
			for i := range in.Firm.Crews {
				in.Firm.Crews[i].Hours = weekHours(8, 10, 10, 12)
			}
		}, []string{"at most 7 h after membrane, coat 1", ". What would help: a product whose data sheet leaves more time; longer hours of Birch on some days, or another crew"}, []string{"hours of site"}},
		{"grout after a month", func(in *Input) {
			for i := range in.Firm.Catalogue.Products {
				switch p := &in.Firm.Catalogue.Products[i]; p.Key {
				case "bed":
					p.Sheet.GroutWithin = 3 * 24 * 60
				}
			}
			for i := range in.Jobs[0].Sites {
				for r := range in.Jobs[0].Sites[i].Rooms {
					room := &in.Jobs[0].Sites[i].Rooms[r]
					room.Holds = []rooms.Hold{{Key: "client", Why: "the client looks at the walls", After: "set", Before: "grout", Minutes: 30 * 24 * 60}}
				}
			}
		}, []string{"at most 72 h after set", "the client looks at the walls", "What would help: a product whose data sheet leaves more time; another time or place in the sequence for the stop \"the client looks at the walls\""}, []string{"membrane", "hours of"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := small(t, 3, 1)
			c.change(&in)
			_, err := Make(context.Background(), in)
			var not *Infeasible
			if !errors.As(err, &not) {
				t.Fatalf("got %v, want an Infeasible", err)
			}
			for _, s := range c.with {
				if !strings.Contains(not.Text, s) {
					t.Errorf("%q is not in %q", s, not.Text)
				}
			}
			for _, s := range c.less {
				if strings.Contains(not.Text, s) {
					t.Errorf("%q is in %q and has nothing to do with it", s, not.Text)
				}
			}
		})
	}
}

// A recipe of the user's changes the order and adds waits: its own step, a cure
// before what follows and a latest time.
func TestRecipeWaits(t *testing.T) {
	in := small(t, 3, 1)
	in.Firm.Recipes = []Recipe{{Key: "own", Steps: []Step{{Kind: "prepare"}, {Kind: "prime"}, {Kind: "level"}, {Kind: "membrane"}, {Kind: "set", AfterMinutes: 3 * 24 * 60},
		{Kind: "dry out", Minutes: 20, WithinMinutes: 4 * 24 * 60}, {Kind: "grout"}, {Kind: "seal"}, {Kind: "hand over"}}}}
	for s := range in.Jobs[0].Sites {
		for r := range in.Jobs[0].Sites[s].Rooms {
			in.Jobs[0].Sites[s].Rooms[r].Recipe, in.Jobs[0].Sites[s].Rooms[r].Holds = "own", nil
			in.Jobs[0].Sites[s].Rooms[r].Celsius = 20
			for f := range in.Jobs[0].Sites[s].Rooms[r].Surfaces {
				in.Jobs[0].Sites[s].Rooms[r].Surfaces[f].Ledger = false
			}
		}
	}
	p := made(t, in)
	lastSet, dry, grout := 0, -1, -1
	var end int
	for _, a := range p.Activities {
		switch a.Kind {
		case kindSet:
			lastSet = max(lastSet, a.Finish)
		case "dry out":
			dry, end = a.Start, a.Finish
		case kindGrout:
			if grout < 0 || a.Start < grout {
				grout = a.Start
			}
		}
	}
	if dry < lastSet+3*24*60 || grout < end || grout > end+4*24*60 {
		t.Errorf("set until %d, dried out from %d to %d, grouted from %d", lastSet, dry, end, grout)
	}
}
