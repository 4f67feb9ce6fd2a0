package scheduler

import (
	"context"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// A setter who is away for a while does not stop the crew: it works with fewer,
// on those days never with more than are there (CheckPlan counts), and sooner
// than if all of it stayed away.
func TestOnePersonAway(t *testing.T) {
	weaker := 0
	for seed := uint64(1); seed <= 6; seed++ {
		in := small(t, seed, 1+int(seed%2))
		in.Firm.Crews = in.Firm.Crews[1:] // birch: two setters and a helper
		all := made(t, in)
		from, to := day("2026-03-23"), day("2026-04-24")
		in.Firm.Crews = slices.Clone(in.Firm.Crews)
		in.Firm.Crews[0].Away = []Absence{{Who: "Ida", From: from, To: to}}
		one := made(t, in)
		in.Firm.Crews[0].Away = nil
		for d := from; !to.Before(d); d = d.AddDays(1) {
			in.Firm.Crews[0].Off = append(in.Firm.Crews[0].Off, d)
		}
		none := made(t, in)
		if one.Finish >= none.Finish {
			t.Errorf("seed %d: with one away all is done at %d, with all away at %d", seed, one.Finish, none.Finish)
		}
		if one.Finish < all.Finish {
			t.Errorf("seed %d: with one away all is done at %d, sooner than %d with everybody", seed, one.Finish, all.Finish)
		}
		clock := Clock{one.Epoch, in.Firm.Zone}
		for _, a := range one.Activities {
			if d := clock.Day(a.Start); a.Kind == kindSet && a.Setters == 1 && !d.Before(from) && !to.Before(d) {
				weaker++
			}
		}
	}
	if weaker == 0 {
		t.Error("nothing is set by one setter: the test shows nothing")
	}
}

// A crew whose only setter is away does not work, and dated hours go before the
// week's: overtime on a Saturday, an early finish, the firm's where the crew has
// none.
func TestDaysOfTheirOwn(t *testing.T) {
	c := NewClock(day("2026-03-16"), zone(t, "Europe/Berlin"))
	f := firm(c.Zone)
	f.Special = []DatedHours{{day("2026-03-19"), 7 * 60, 10 * 60}, {day("2026-03-20"), 7 * 60, 11 * 60}}
	k := f.Crews[0]
	k.Away = []Absence{{From: day("2026-03-17"), To: day("2026-03-17")}}
	k.Special = []DatedHours{{day("2026-03-20"), 7 * 60, 13 * 60}, {day("2026-03-21"), 8 * 60, 12 * 60}}
	k.Off = []rooms.Date{day("2026-03-18")}
	at := func(d string, minute int) int { return c.OnDay(day(d), minute) }
	want := []Interval{
		{at("2026-03-16", 7*60), at("2026-03-16", 12*60)}, {at("2026-03-16", 12*60+30), at("2026-03-16", 16*60)},
		{at("2026-03-19", 7*60), at("2026-03-19", 10*60)}, // the firm's early finish
		{at("2026-03-20", 7*60), at("2026-03-20", 13*60)}, // its own before the firm's
		{at("2026-03-21", 8*60), at("2026-03-21", 12*60)}, // a Saturday
	}
	if got := c.CrewHours(f, k, 0, at("2026-03-22", 0)); !slices.Equal(got, want) {
		t.Errorf("hours %v, want %v", got, want)
	}
}

// The firm's extra days open every crew that is not off; a setter away for some
// hours takes only those, of the crew's time where nobody else sets; a site is
// closed on its dates, with and without hours of its own.
func TestDatesThatOpenAndClose(t *testing.T) {
	c := NewClock(day("2026-03-16"), zone(t, "Europe/Berlin"))
	at := func(d string, minute int) int { return c.OnDay(day(d), minute) }
	span := func(d string, from, to int) Interval { return Interval{at(d, from*60), at(d, to*60)} }
	saturday, sunday := day("2026-03-21"), day("2026-03-22")
	week := []rooms.DayHours{{Weekday: 1, Start: 7 * 60, End: 15 * 60}, {Weekday: 5, Start: 7 * 60, End: 12 * 60}}
	usual := []Interval{span("2026-03-16", 7, 15), span("2026-03-20", 7, 12)}
	hours := func(f Firm, k Crew) []Interval {
		k.Setters, k.Hours = max(1, k.Setters), week
		return c.CrewHours(f, k, 0, at("2026-03-23", 0))
	}
	open := Firm{Days: rooms.Days{On: []rooms.Date{saturday, sunday}}}
	away := func(a Absence) []Absence { a.From, a.To = day("2026-03-16"), day("2026-03-20"); return []Absence{a} }
	for _, x := range []struct {
		name      string
		got, want []Interval
	}{
		{"no extra day", hours(Firm{}, Crew{}), usual},
		{"the firm's extra days have Monday's hours", hours(open, Crew{}), append(slices.Clone(usual), span("2026-03-21", 7, 15), span("2026-03-22", 7, 15))},
		{"unless the crew is off", hours(open, Crew{Off: []rooms.Date{saturday}}), append(slices.Clone(usual), span("2026-03-22", 7, 15))},
		{"or the firm closed after all", hours(Firm{Days: rooms.Days{On: open.Days.On, Off: []rooms.Date{sunday}}}, Crew{}), append(slices.Clone(usual), span("2026-03-21", 7, 15))},
		{"the only setter is away for some hours", hours(Firm{}, Crew{Away: away(Absence{Start: 9 * 60, End: 11 * 60})}),
			[]Interval{span("2026-03-16", 7, 9), span("2026-03-16", 11, 15), span("2026-03-20", 7, 9), span("2026-03-20", 11, 12)}},
		{"one of two", hours(Firm{}, Crew{Setters: 2, Away: away(Absence{Start: 9 * 60, End: 11 * 60})}), usual},
		{"a helper", hours(Firm{}, Crew{Helpers: 1, Away: away(Absence{Helper: true, Start: 9 * 60, End: 11 * 60})}), usual},
		{"a site closed for a day", c.SiteHours(rooms.Site{Closed: []rooms.Date{day("2026-03-17")}}, 0, at("2026-03-19", 0)),
			[]Interval{{0, at("2026-03-17", 0)}, {at("2026-03-18", 0), at("2026-03-19", 0)}}},
		{"a site with hours closed for a day", c.SiteHours(rooms.Site{Hours: week, Closed: []rooms.Date{day("2026-03-16")}}, 0, at("2026-03-23", 0)), usual[1:]},
	} {
		if !slices.Equal(x.got, x.want) {
			t.Errorf("%s: %v, want %v", x.name, x.got, x.want)
		}
	}
}

// A setter who leaves at noon every day for weeks: after noon the crew does no
// more than who is there can (CheckPlan counts), and the plan is done no later
// than if all days were lost.
func TestAwayInTheAfternoon(t *testing.T) {
	alone := 0
	for seed := uint64(1); seed <= 4; seed++ {
		in := small(t, seed, 1)
		in.Firm.Crews = slices.Clone(in.Firm.Crews[1:]) // birch: two setters and a helper
		a := Absence{Who: "Ida", From: day("2026-03-16"), To: day("2026-05-29")}
		in.Firm.Crews[0].Away = []Absence{a}
		whole := made(t, in)
		a.Start, a.End = 12*60, 17*60
		in.Firm.Crews[0].Away = []Absence{a}
		p := made(t, in)
		if p.Finish > whole.Finish {
			t.Errorf("seed %d: away in the afternoon ends at %d, away all day at %d", seed, p.Finish, whole.Finish)
		}
		clock := Clock{p.Epoch, in.Firm.Zone}
		for _, x := range p.Activities {
			if at := clock.At(x.Start); x.Crew != "" && at.Hour() >= 12 {
				alone++
				if x.Setters > 1 {
					t.Errorf("seed %d: %s has %d setters at %s", seed, x.ID, x.Setters, at)
				}
			}
		}
	}
	if alone == 0 {
		t.Error("nothing is done in the afternoon: the test shows nothing")
	}
}

// A crew that lists its skills does no other special work; work goes to the crew
// that may do it.
func TestSkills(t *testing.T) {
	in := small(t, 3, 2)
	in.Firm.Crews[0].Skills = []string{SkillMembrane}
	p := made(t, in)
	large := 0
	for _, a := range p.Activities {
		if slices.Contains(a.Skills, SkillLarge) {
			large++
			if a.Crew != "birch" {
				t.Errorf("%s is done by %s", a.ID, a.Crew)
			}
		}
	}
	if large == 0 {
		t.Fatal("nothing asks for a skill: the test shows nothing")
	}
	in.Firm.Crews[1].Skills = []string{SkillStone}
	_, err := Make(context.Background(), in)
	if err == nil || !strings.Contains(err.Error(), `asks for the skill "large format"`) || !strings.Contains(err.Error(), "add the skill") {
		t.Errorf("got %v, want the skill that is missing", err)
	}
}

// Tools that the firm has one of are never used twice at a time, and a plan with
// one takes no less time than with many; none at all is refused.
func TestSharedTools(t *testing.T) {
	at := func(n int) (*Plan, error) {
		in := small(t, 4, 3)
		in.Firm.Tools = []Tool{{ToolMixer, n}, {ToolSaw, n}}
		return Make(context.Background(), in)
	}
	one, err := at(1)
	if err != nil {
		t.Fatal(err)
	}
	if err := CheckPlan(one); err != nil {
		t.Fatal(err)
	}
	many, err := at(9)
	if err != nil {
		t.Fatal(err)
	}
	if one.Finish < many.Finish {
		t.Errorf("with one mixer done at %d, with nine at %d", one.Finish, many.Finish)
	}
	var spans []Interval
	for _, a := range one.Activities {
		if slices.Contains(a.Tools, ToolMixer) {
			spans = append(spans, Interval{a.Start, a.Finish})
		}
	}
	if len(spans) == 0 || len(normal(spans)) == 0 {
		t.Error("nothing is mixed: the test shows nothing")
	}
	if _, err := at(0); err == nil || !strings.Contains(err.Error(), "the firm has none") {
		t.Errorf("got %v, want a refusal", err)
	}
}

// Loud work keeps to the hours a site allows for it, quiet work goes on.
func TestNoisyHours(t *testing.T) {
	loud, outside := 0, 0
	for seed := uint64(1); seed <= 4; seed++ {
		in := small(t, seed, 2)
		for s := range in.Jobs[0].Sites {
			in.Jobs[0].Sites[s].Noise = weekHours(9, 12, 13, 15)
		}
		p := made(t, in) // holds loud work to those hours
		clock := Clock{p.Epoch, in.Firm.Zone}
		for _, a := range p.Activities {
			if h := clock.At(a.Start).Hour(); a.Noisy {
				loud++
			} else if a.Crew != "" && (h < 9 || h >= 15) {
				outside++
			}
		}
	}
	if loud == 0 || outside == 0 {
		t.Errorf("%d activities are loud, %d quiet ones lie outside those hours: the test shows nothing", loud, outside)
	}
}
