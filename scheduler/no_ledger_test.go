package scheduler

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// A ledger that is asked for and has nothing under it is told, and so is a bottom course
// that cannot be left out; where there is one nothing is said.
func TestWithoutLedger(t *testing.T) {
	in := small(t, 2, 1)
	walls := 0
	change := func(order string, do func(s *rooms.Surface)) map[string]string {
		jobs := withRooms(in.Jobs, func(_ string, r *rooms.Room) {
			r.Order, r.Holds = order, nil
			surfaces := append([]rooms.Surface{}, r.Surfaces...)
			for i := range surfaces {
				if surfaces[i].Kind == rooms.Wall {
					surfaces[i].Zones = append([]rooms.Zone{}, surfaces[i].Zones...)
					do(&surfaces[i])
				}
			}
			r.Surfaces = surfaces
		})
		next := in
		next.Jobs = jobs
		p, told := made(t, next), map[string]string{}
		for _, f := range p.Findings {
			if f.Rule == "ledger" {
				told[f.Where] = f.Message
			}
		}
		kind := surfaceKinds(p)
		walls = 0
		for _, l := range p.Layouts {
			if kind[l.Surface] == rooms.Wall {
				walls++
			}
		}
		return told
	}
	whole := func(s *rooms.Surface) {
		s.Ledger = true
		for z := range s.Zones {
			s.Zones[z].Datum.Up = rooms.FullLow
		}
	}
	if told := change("", whole); len(told) == 0 || len(told) > walls {
		t.Errorf("%d of %d walls on whole tiles are told to need no ledger: %v", len(told), walls, told)
	} else {
		for where, text := range told {
			if !strings.HasPrefix(text, "no ledger: ") {
				t.Errorf("%s: %s", where, text)
			}
		}
	}
	told := change(FloorBeforeLowWalls, func(s *rooms.Surface) {
		for z := range s.Zones {
			s.Zones[z].Turn, s.Zones[z].Datum.Up = 90, rooms.FullLow
		}
	})
	if len(told) == 0 {
		t.Error("walls that cannot leave out their bottom course are not told")
	}
	for where, text := range told {
		if !strings.Contains(text, "choose another order of work") {
			t.Errorf("%s: %s", where, text)
		}
	}
	if told := change(FloorBeforeLowWalls, func(*rooms.Surface) {}); len(told) > 0 {
		t.Errorf("walls with a bottom course: %v", told)
	}
}
