package scheduler

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// parted is a plan in which an area of a wall ends within a course, and which it is.
func parted(t *testing.T) (*Plan, int) {
	p := made(t, small(t, 12, 3))
	for i, a := range p.Areas {
		if a.StopAt == shownWithin && !strings.HasSuffix(a.Surfaces[0], "floor") {
			return p, i
		}
	}
	t.Fatal("no area of a wall ends within a course")
	return nil, 0
}

// Each promise of where areas end, how long they are and what they hold is broken once
// in a sound plan, and must be named.
func TestCheckPlanFindsWrongStops(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(p *Plan, i int)
		want  string
	}{
		{"longer than the longest", func(p *Plan, i int) { p.Firm.Limits.AreaMinutes = 20 }, "the longest is 20"},
		{"said to end at a whole course", func(p *Plan, i int) { p.Areas[i].StopAt = shownCourse }, "says that it ends at a whole course, and"},
		{"said to end at a corner", func(p *Plan, i int) { p.Areas[i].StopAt = shownCorner }, "says that it ends at the corner"},
		{"said to end within a course", func(p *Plan, i int) {
			for k := range p.Areas {
				if a := &p.Areas[k]; a.StopAt == shownCorner && !strings.HasSuffix(a.Surfaces[0], "floor") {
					a.StopAt = shownWithin
				}
			}
		}, "no other goes on with one of its"},
		{"a short area beside such a stop", func(p *Plan, i int) {
			act := &p.Activities[slices.IndexFunc(p.Activities, func(a Activity) bool { return a.ID == p.Areas[i].Activity })]
			act.Start = act.Finish - partedArea + 1
		}, "beside a stop within course"},
		{"a short course in parts", func(p *Plan, i int) {
			for k := range p.Areas {
				a := &p.Areas[k]
				a.Start = a.Finish - 1
				for n := range a.Patches {
					a.Patches[n].Start, a.Patches[n].SetBy = a.Finish, a.Finish
				}
			}
		}, "which takes no more than"},
		{"another mortar", func(p *Plan, i int) { p.Areas[i].Mortar = "seal" }, "which is to be set in bed"},
		{"left out beside the rest", func(p *Plan, i int) { pieceOf(p, p.Areas[i].Pieces[0]).Late = "the client's niche" }, "1 pieces that were left out beside"},
		{"more than a bucket", func(p *Plan, i int) { p.Firm.Limits.BucketKg = 0.5 }, "a bucket holds 0.5"},
		{"more than a sheet allows", func(p *Plan, i int) {
			for k := range p.Firm.Catalogue.Products {
				p.Firm.Catalogue.Products[k].Sheet.PatchCapM2 = 0.1
			}
		}, "its mortar's sheet allows 0.1 at once"},
		{"sawn wet ahead and not dry", func(p *Plan, i int) { p.Firm.Limits.SawDry = 60 * 24 * 60 }, "is sawn wet ahead, not before"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, i := parted(t)
			c.spoil(p, i)
			k := &checker{plan: p, act: map[string]*Activity{}, area: map[string]*Area{}, room: map[string]*rooms.Room{}, kind: map[string]string{}}
			k.index()
			k.stops()
			k.sawnAhead()
			err := errors.Join(k.errs...)
			if CheckPlan(p) == nil || err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want a breach with %q", err, c.want)
			}
		})
	}
}

// Random plans with a longest area, and with pieces that dry for a day, keep their
// promises; where a single piece takes longer than the longest area, the others do not.
func TestRandomPlansKeepAreasAndDrying(t *testing.T) {
	ahead, within := 0, 0
	for seed := range uint64(12) {
		in := small(t, seed+1, 1+int(seed%3))
		switch seed % 4 {
		case 0:
			in.Firm.Limits.AreaMinutes = 60
		case 1:
			in.Firm.Limits.SawDry = 24 * 60
		case 2:
			in.Firm.Limits.SawDry, in.Firm.Limits.AreaMinutes = 72*60, 90
		case 3:
			in.Firm.Limits.AreaMinutes = 30
		}
		p, err := Make(context.Background(), in)
		if err != nil {
			continue // areas of half an hour can take longer than a membrane may lie open
		}
		if err := CheckPlan(p); err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
		for _, s := range p.Sheets {
			for _, g := range s.Cuts {
				if g.Ahead && g.Tool == takeoff.WetSaw && in.Firm.Limits.SawDry > 0 {
					ahead += len(g.Pieces)
				}
			}
		}
		for _, a := range p.Areas {
			if a.StopAt == shownWithin {
				within++
			}
		}
	}
	if ahead == 0 || within == 0 {
		t.Errorf("%d pieces sawn ahead to dry long, %d stops within a course", ahead, within)
	}
}
