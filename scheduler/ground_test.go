package scheduler

import (
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// A floor on a young screed waits until the screed is dry by its age, or for the
// day a moisture test released it, and the plan says why; the walls of the room
// do not wait for it.
func TestScreedDriesFirst(t *testing.T) {
	for _, c := range []struct {
		name   string
		tested rooms.Date
		ready  string
	}{{"by age", rooms.Date{}, "2026-05-10"}, {"by a test", day("2026-04-22"), "2026-04-22"}} {
		t.Run(c.name, func(t *testing.T) {
			in := small(t, 3, 1)
			floor := ""
			for s := range in.Jobs[0].Sites {
				for k := range in.Jobs[0].Sites[s].Rooms {
					room := &in.Jobs[0].Sites[s].Rooms[k]
					room.Holds, room.Order = nil, WallsThenFloor
					for f := range room.Surfaces {
						if room.Surfaces[f].Kind == rooms.Floor {
							room.Surfaces[f].Base = &rooms.Base{Kind: rooms.CementScreed, Laid: day("2026-03-01"), Depth: 60 * mm, Tested: c.tested} // 70 days
							floor = "job/" + room.Key + "/" + room.Surfaces[f].Key
						}
					}
				}
			}
			p := made(t, in)
			clock := Clock{p.Epoch, in.Firm.Zone}
			laid, earlier := 0, 0
			for _, a := range p.Activities {
				on := slices.Contains(a.Surfaces, floor)
				switch {
				case !slices.Contains(onGround, a.Kind):
				case on:
					laid++
					if clock.Day(a.Start).Before(day(c.ready)) {
						t.Errorf("%s starts on %s, the screed is ready on %s", a.ID, clock.Day(a.Start), c.ready)
					}
				case clock.Day(a.Start).Before(day(c.ready)):
					earlier++
				}
			}
			if laid == 0 || earlier == 0 {
				t.Errorf("%d activities on the floor, %d elsewhere before it: the test shows nothing", laid, earlier)
			}
			warned := slices.ContainsFunc(p.Findings, func(f takeoff.Finding) bool { return f.Rule == "new ground" && f.Where == floor })
			if warned != c.tested.IsZero() {
				t.Errorf("warned of the moisture: %v", warned)
			}
			if b := p.RoomDates[0].Blocked; !strings.Contains(b, "cement screed") {
				t.Errorf("the room is held up by %q", b)
			}
		})
	}
}
