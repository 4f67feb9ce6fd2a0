package scheduler

import (
	"slices"
	"testing"
	"time"

	"potlife/rooms"
)

// Over both changes of the clock, in zones that change by an hour and by half of
// one, every minute of work is one that the crew's and the site's wall clocks
// allow, also on the night itself, and every wait lasts as long as it has to by a
// clock that is never put forward or back. Time is read with package time alone.
func TestWorkAndCuresOverClockChanges(t *testing.T) {
	for _, c := range []struct{ zone, night string }{
		{"Europe/Berlin", "2026-03-29"}, {"Europe/Berlin", "2026-10-25"}, {"America/New_York", "2026-03-08"},
		{"America/New_York", "2026-11-01"}, {"Australia/Lord_Howe", "2026-04-05"}, {"Australia/Lord_Howe", "2026-10-04"},
	} {
		t.Run(c.zone+" "+c.night, func(t *testing.T) {
			in := small(t, 9, 2)
			in.Firm.Zone = zone(t, c.zone)
			in.Today, in.Jobs[0].Start = day(c.night).AddDays(-11), day(c.night).AddDays(-5)
			for i := range in.Jobs[0].Sites {
				site := &in.Jobs[0].Sites[i]
				site.Hours = nil
				for r := range site.Rooms {
					site.Rooms[r].Due, site.Rooms[r].Holds = rooms.Date{}, nil
				}
			}
			in.Firm.Crews = slices.Clone(in.Firm.Crews)
			for i := range in.Firm.Crews { // Sunday nights too, over the hour that is put forward or back
				k := &in.Firm.Crews[i]
				k.Hours = append(slices.Clone(k.Hours), rooms.DayHours{Weekday: 0, Start: 30, End: 6 * 60})
			}
			p := made(t, in)
			across := 0
			for i := range p.Activities {
				across += minutesOfWork(t, p, &p.Activities[i], c.night)
				waitsByTheClock(t, p, &p.Activities[i])
			}
			if across == 0 {
				t.Error("nobody works in the night of the change: the test shows nothing")
			}
		})
	}
}

// minutesOfWork holds each minute of an activity against the week of its crew,
// and counts those of one date.
func minutesOfWork(t *testing.T, p *Plan, a *Activity, date string) int {
	t.Helper()
	i := slices.IndexFunc(p.Firm.Crews, func(c Crew) bool { return c.Key == a.Crew })
	if i < 0 {
		return 0
	}
	n := 0
	for m := a.Start; m < a.Finish; m++ {
		at := p.Epoch.Add(time.Duration(m) * time.Minute).In(p.Firm.Zone)
		wall := at.Hour()*60 + at.Minute()
		if !slices.ContainsFunc(p.Firm.Crews[i].Hours, func(h rooms.DayHours) bool {
			return h.Weekday == int(at.Weekday()) && h.Start <= wall && wall < h.End
		}) {
			t.Fatalf("%s works at %s", a.ID, at)
		}
		if at.Format(time.DateOnly) == date {
			n++
		}
	}
	return n
}

// waitsByTheClock holds each wait of an activity against elapsed time.
func waitsByTheClock(t *testing.T, p *Plan, a *Activity) {
	t.Helper()
	at := func(m int) time.Time { return p.Epoch.Add(time.Duration(m) * time.Minute).In(p.Firm.Zone) }
	for _, l := range a.After {
		for i := range p.Activities {
			before := &p.Activities[i]
			if before.ID != l.Activity {
				continue
			}
			passed := at(a.Start).Sub(at(before.Finish))
			if passed < time.Duration(l.Least)*time.Minute || l.Most >= 0 && passed > time.Duration(l.Most)*time.Minute {
				t.Errorf("%s begins %s after %s; asked are %d to %d min", a.ID, passed, before.ID, l.Least, l.Most)
			}
		}
	}
}
