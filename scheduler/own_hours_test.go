package scheduler

import (
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// onDays are hours of such weekdays.
func onDays(start, end int, days ...int) (out []rooms.DayHours) {
	for _, d := range days {
		out = append(out, rooms.DayHours{Weekday: d, Start: start, End: end})
	}
	return out
}

// When somebody with hours of his own is there: those of the weekday, of a date before
// those, never on days off, whenever the crew works on extra days and without any.
func TestOwnHours(t *testing.T) {
	monday, saturday := day("2026-03-16"), day("2026-03-21")
	mornings := onDays(7*60, 12*60, 1, 2, 3)
	for _, c := range []struct {
		name   string
		person Person
		on     rooms.Date
		want   []Interval // not there
	}{
		{"none", Person{}, monday, nil},
		{"mornings", Person{Hours: mornings}, monday, []Interval{{0, 420}, {720, 1440}}},
		{"with breaks", Person{Hours: append(onDays(540, 600, 1), onDays(660, 720, 1)...)}, monday, []Interval{{0, 540}, {600, 660}, {720, 1440}}},
		{"spans that touch", Person{Hours: append(onDays(660, 720, 1), onDays(540, 660, 1)...)}, monday, []Interval{{0, 540}, {720, 1440}}},
		{"on another day", Person{Hours: mornings}, saturday, []Interval{{0, 1440}}},
		{"on an extra day", Person{Hours: mornings, On: []rooms.Date{saturday}}, saturday, nil},
		{"a day off", Person{Off: []rooms.Date{monday}}, monday, []Interval{{0, 1440}}},
		{"off goes before all", Person{Off: []rooms.Date{monday}, On: []rooms.Date{monday}, Special: []DatedHours{{monday, 480, 600}}}, monday, []Interval{{0, 1440}}},
		{"off on another day", Person{Off: []rooms.Date{monday}}, saturday, nil},
		{"a date of its own", Person{Hours: mornings, Special: []DatedHours{{monday, 840, 960}, {monday, 480, 600}}}, monday, []Interval{{0, 480}, {600, 840}, {960, 1440}}},
		{"a date goes before an extra day", Person{On: []rooms.Date{monday}, Special: []DatedHours{{monday, 480, 600}}}, monday, []Interval{{0, 480}, {600, 1440}}},
		{"all day", Person{Hours: onDays(0, 1440, 1)}, monday, nil},
	} {
		if got := c.person.missing(c.on); !slices.Equal(got, c.want) {
			t.Errorf("%s: not there %v, want %v", c.name, got, c.want)
		}
		for m := range 24 * 60 {
			if got := slices.ContainsFunc(c.want, func(v Interval) bool { return v.Start <= m && m < v.End }); got == comes(c.person, c.on, m) {
				t.Errorf("%s: at minute %d the check has somebody who is not there: %v", c.name, m, got)
				break
			}
		}
	}
}

// randomHours are people with hours of their own, some of them also absent.
func randomHours(rng *rand.Rand, k *Crew) {
	k.People, k.Away = nil, nil
	dates := []rooms.Date{}
	for d := day("2026-03-16"); d.Before(day("2026-04-20")); d = d.AddDays(1) {
		dates = append(dates, d)
	}
	date := func() rooms.Date { return dates[rng.IntN(len(dates))] }
	for i := range k.Setters + k.Helpers {
		p := Person{Name: fmt.Sprint("P", i), Helper: i >= k.Setters, Pace: []float64{0, 1, 1.3}[rng.IntN(3)]}
		if rng.IntN(3) > 0 {
			for d := 1; d <= 5; d++ {
				if start := 6*60 + 30*rng.IntN(12); rng.IntN(4) > 0 {
					p.Hours = append(p.Hours, onDays(start, start+60*(1+rng.IntN(5)), d)...)
				}
			}
			if rng.IntN(2) == 0 {
				p.Hours = append(p.Hours, onDays(14*60, 18*60, 1+rng.IntN(5))...)
			}
		}
		if rng.IntN(3) == 0 {
			p.Off, p.On = []rooms.Date{date(), date()}, []rooms.Date{date()}
		}
		if d := date(); rng.IntN(3) == 0 {
			p.Special = []DatedHours{{d, 8 * 60, 10 * 60}, {d, 15 * 60, 16 * 60}}
		}
		k.People = append(k.People, p)
		if from := date(); rng.IntN(3) == 0 {
			a := Absence{Who: strings.ToLower(p.Name), Helper: p.Helper, From: from, To: from.AddDays(rng.IntN(5))}
			if rng.IntN(2) == 0 {
				a.Start, a.End = 10*60, 15*60
			}
			k.Away = append(k.Away, a)
		}
	}
}

// Minute by minute, over both changes of the clock, whoever is there by his own hours and
// no absence is counted and named, and nobody else: for the crew's strength, its hours,
// what planning and the simulation go by, and who is taken to have done something.
func TestWhoIsThereMinuteByMinute(t *testing.T) {
	partly := 0
	for seed := uint64(1); seed <= 12; seed++ {
		rng := rand.New(rand.NewPCG(seed, 5))
		z := zone(t, []string{"Europe/Berlin", "Australia/Lord_Howe"}[seed%2])
		k := Crew{Key: "birch", Setters: 1 + rng.IntN(3), Helpers: rng.IntN(3), Hours: append(weekHours(7, 12, 12, 17), onDays(30, 240, 0)...)}
		randomHours(rng, &k)
		for i := range k.People {
			if p := &k.People[i]; len(p.Hours) > 0 { // in the night of the change too
				p.Hours = append(p.Hours, onDays(60, 60+30*(1+rng.IntN(6)), 0)...)
			}
		}
		clock := NewClock(day([]string{"2026-03-26", "2026-04-02", "2026-10-22", "2026-10-01"}[seed%4]), z)
		end := clock.DayStart(clock.Day(0).AddDays(7))
		crew := k.told(nil)
		roll := clock.called(&crew, end)
		hours := clock.CrewHours(Firm{}, k, 0, end)
		setters, helpers := clock.turnsAway(&k, end)
		pools := []simPool{{away: setters}, {away: helpers}}
		for m := 0; m < end; m++ {
			at := clock.At(m)
			d, wall := rooms.DateOf(at), at.Hour()*60+at.Minute()
			var names []string
			count := [2]int{}
			for _, p := range k.People {
				if !comes(p, d, wall) || slices.ContainsFunc(k.Away, func(a Absence) bool { return strings.EqualFold(a.Who, p.Name) && a.on(d, wall) }) {
					continue
				}
				if names = append(names, p.Name); p.Helper {
					count[1]++
				} else {
					count[0]++
				}
			}
			s, h := k.strength(d, wall)
			if h := roll[roll.find(m)].hands; [2]int{h.setters, h.helpers} != count {
				t.Fatalf("seed %d: the roll has %v at %s, there are %v", seed, h, at, names)
			}
			gone, _ := pools[0].missing(m)
			goneHelpers, _ := pools[1].missing(m)
			if [2]int{s, h} != count || gone != k.Setters-count[0] || goneHelpers != k.Helpers-count[1] {
				t.Fatalf("seed %d: %d and %d are counted at %s, the simulation misses %d and %d, there are %v", seed, s, h, at, gone, goneHelpers, names)
			}
			var did []string
			for _, p := range k.thereAt(d, wall) {
				did = append(did, p.Name)
			}
			if !slices.Equal(did, names) {
				t.Fatalf("seed %d: %v are named at %s, there are %v", seed, did, at, names)
			}
			if clock.DayStart(d.AddDays(1))-clock.DayStart(d) != 24*60 {
				continue // of an hour that is there twice the crew's hours take one
			}
			if usual := inWeek(k.Hours, d, wall); Within(hours, m, m+1) != (usual && count[0] > 0) {
				t.Fatalf("seed %d: the crew works at %s: %v, with %v there in its hours: %v", seed, at, !usual || count[0] == 0, names, usual)
			}
			if count[0] > 0 && count[0] < k.Setters {
				partly++
			}
		}
	}
	if partly < 1000 {
		t.Errorf("some but not all setters are there for %d minutes: the test shows little", partly)
	}
}

func inWeek(hours []rooms.DayHours, d rooms.Date, minute int) bool {
	return slices.ContainsFunc(hours, func(h rooms.DayHours) bool {
		return h.Weekday == int(d.Weekday()) && h.Start <= minute && minute < h.End
	})
}

// Jobs of crews whose people come and go keep all rules, first and made again, and a
// plan in which one works when she is not there is found out.
func TestPlansWithOwnHours(t *testing.T) {
	damaged, short := 0, 0
	for seed := uint64(1); seed <= 12; seed++ {
		rng := rand.New(rand.NewPCG(seed, 11))
		in := small(t, seed, 1+int(seed%3))
		in.Firm.Crews = slices.Clone(in.Firm.Crews)
		if seed%3 > 0 { // else the other crew takes most of it
			in.Firm.Crews = in.Firm.Crews[1:]
		}
		k := &in.Firm.Crews[len(in.Firm.Crews)-1]
		randomHours(rng, k)
		in.sheet("skin").CoverWithin, in.sheet("skin").RecoatWithin = 0, 0 // they have too few hours for that
		p, err := Make(context.Background(), in)
		if err != nil {
			t.Logf("seed %d: %v", seed, err)
			continue
		}
		if err := CheckPlan(p); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		next := in
		next.Prior, next.Today = p, day("2026-03-24")
		again := made(t, next)
		short += minutesShort(t, again)
		if homeOn(p, &p.Firm.Crews[len(p.Firm.Crews)-1]) {
			if damaged++; CheckPlan(p) == nil {
				t.Errorf("seed %d: a plan in which somebody works who is not there is let pass", seed)
			}
		}
	}
	if damaged < 6 || short < 1000 {
		t.Errorf("%d plans were damaged, crews were short for %d minutes of work: the test shows little", damaged, short)
	}
}

// minutesShort holds each minute of planned work to who is there, and counts those in
// which not all of a crew are.
func minutesShort(t *testing.T, p *Plan) (n int) {
	t.Helper()
	clock := Clock{p.Epoch, p.Firm.Zone}
	for _, k := range p.Firm.Crews {
		busy := map[int][2]int{}
		for _, a := range p.Activities {
			for m := a.Start; a.Crew == k.Key && a.State == "planned" && m < a.Finish; m++ {
				busy[m] = [2]int{busy[m][0] + a.Setters, busy[m][1] + a.Helpers}
			}
		}
		for m, b := range busy {
			s, h := clock.strength(k, m)
			if s < k.Setters || h < k.Helpers {
				n++
			}
			if b[0] > s || b[1] > h {
				t.Fatalf("%d setters and %d helpers of %s work at %s, %d and %d are there", b[0], b[1], k.Key, clock.Words(m), s, h)
			}
		}
	}
	return n
}

// homeOn sends the setters of a crew home, in the plan's firm, on a day for which it plans
// one of them, and reports whether there is such a day.
func homeOn(p *Plan, k *Crew) bool {
	for _, a := range p.Activities {
		if a.Crew != k.Key || a.Setters == 0 || a.State != "planned" {
			continue
		}
		k.People = slices.Clone(k.People)
		for i := range k.People {
			if q := &k.People[i]; !q.Helper {
				q.Off = append(slices.Clone(q.Off), (Clock{p.Epoch, p.Firm.Zone}).Day(a.Start))
			}
		}
		return true
	}
	return false
}

// A setter who comes in the mornings is worth something: all is done no later than by the
// other alone, both set while she is there, and the other goes on in the afternoon.
func TestAMorningSetterIsUsed(t *testing.T) {
	pairs, alone, sooner := 0, 0, 0
	for seed := uint64(1); seed <= 6; seed++ {
		in := small(t, seed, 1+int(seed%2))
		in.Firm.Crews = slices.Clone(in.Firm.Crews[1:]) // birch: two setters and a helper
		in.Firm.Limits.AreaMinutes = 150                // with none given, one alone is tried with longer areas
		k := &in.Firm.Crews[0]
		k.People = []Person{{Name: "Ida", Hours: onDays(8*60, 12*60, 1, 2, 3, 4, 5)}, {Name: "Jon"}}
		p := made(t, in)
		minutesShort(t, p)
		clock := Clock{p.Epoch, in.Firm.Zone}
		for _, a := range p.Activities {
			switch hour := clock.At(a.Start).Hour(); {
			case a.Setters == 2:
				pairs++
			case a.Setters == 1 && hour >= 12:
				alone++
			}
		}
		k.Setters, k.People = 1, k.People[1:]
		if without := made(t, in); without.Finish < p.Finish-24*60 {
			t.Errorf("seed %d: with her done at %d, without her at %d", seed, p.Finish, without.Finish)
		} else if p.Finish < without.Finish {
			sooner++
		}
	}
	if pairs == 0 || alone == 0 || sooner < 4 {
		t.Errorf("%d activities of two, %d of one in the afternoon, %d plans done sooner", pairs, alone, sooner)
	}
}

// Two setters who never meet work one after the other, and no longer than one setter
// takes alone all day; what two lift waits for ever and is said.
func TestSettersWhoNeverMeet(t *testing.T) {
	in := small(t, 2, 2)
	in.Firm.Crews = slices.Clone(in.Firm.Crews[1:])
	k := &in.Firm.Crews[0]
	k.People = []Person{{Name: "Ida", Hours: onDays(8*60, 12*60, 1, 2, 3, 4, 5)}, {Name: "Jon", Hours: onDays(12*60, 17*60, 1, 2, 3, 4, 5)}}
	p := made(t, in)
	for _, a := range p.Activities {
		if a.Setters > 1 {
			t.Errorf("%s has %d setters", a.ID, a.Setters)
		}
	}
	k.Helpers = 0
	for i := range in.Firm.Catalogue.Tiles {
		in.Firm.Catalogue.Tiles[i].BoxKg = 20 * float64(in.Firm.Catalogue.Tiles[i].PerBox)
	}
	if _, err := Make(context.Background(), in); err == nil || !strings.Contains(err.Error(), "two people lift") {
		t.Errorf("got %v, want a refusal", err)
	}
	k.People[0].Hours = onDays(8*60, 15*60, 1, 2, 3, 4, 5) // now they have hours together
	lifted := 0
	p = made(t, in)
	clock := Clock{p.Epoch, in.Firm.Zone}
	for _, a := range p.Activities {
		if at := clock.At(a.Start); a.Setters > 1 {
			lifted++
			if minute := at.Hour()*60 + at.Minute(); minute < 12*60 || minute >= 15*60 {
				t.Errorf("%s is done by two at %s", a.ID, at)
			}
		}
	}
	if lifted == 0 {
		t.Error("nothing is lifted by two: the test shows nothing")
	}
}

// A crew's only setter sets the crew's hours; a plan says why work waits for somebody.
func TestOwnHoursOfALoneSetter(t *testing.T) {
	in := small(t, 4, 1)
	in.Firm.Crews = slices.Clone(in.Firm.Crews[:1]) // alder: one setter and a helper
	k := &in.Firm.Crews[0]
	k.People = []Person{{Name: "Ida", Hours: onDays(9*60, 14*60, 1, 2, 4)}}
	p := made(t, in)
	clock, worked := Clock{p.Epoch, in.Firm.Zone}, 0
	for _, a := range p.Activities {
		if a.Crew == "" {
			continue
		}
		worked++
		from, to := clock.At(a.Start), clock.At(a.Finish)
		if w := int(from.Weekday()); w != 1 && w != 2 && w != 4 || from.Hour() < 9 || to.Hour()*60+to.Minute() > 14*60 {
			t.Errorf("%s from %s to %s", a.ID, from, to)
		}
	}
	if worked == 0 {
		t.Error("nothing is done")
	}
	d := day("2026-03-18") // a Wednesday
	if got := k.awayWords(d); got != "Ida on Wed 18 Mar" {
		t.Errorf("away on a day of hers without hours: %q", got)
	}
	if got := k.awayWords(d.AddDays(1)); got != "Ida but for 09:00 to 12:00 and 12:30 to 14:00" {
		t.Errorf("away beside her hours: %q", got)
	}
	k.People[0].Hours = onDays(5*60, 20*60, 1, 2, 3, 4, 5)
	if got := k.awayWords(d); got != "" {
		t.Errorf("hours around the crew's leave something out: %q", got)
	}
	k.People[0].Hours = onDays(17*60, 20*60, 1, 2, 3, 4, 5)
	if _, err := Make(context.Background(), in); err == nil || !strings.Contains(err.Error(), "works on no day") {
		t.Errorf("a setter who never comes in the crew's hours: %v", err)
	}
}

// Hours that leave nothing of the crew's out change nothing, and plans with part-timers
// are the same on one processor and on two; made again with nothing new they stay.
func TestOwnHoursAreSteady(t *testing.T) {
	in := small(t, 7, 3)
	in.Firm.Crews = slices.Clone(in.Firm.Crews)
	k := &in.Firm.Crews[1]
	k.People = []Person{{Name: "Ida"}, {Name: "Jon"}, {Name: "Tom", Helper: true}}
	starts := func(p *Plan) (out []string) {
		for _, a := range p.Activities {
			out = append(out, fmt.Sprint(a.ID, a.Crew, a.Setters, a.Helpers, a.Start, a.Finish))
		}
		return out
	}
	plain := made(t, in)
	k.People[0].Hours = onDays(5*60, 22*60, 1, 2, 3, 4, 5)
	if around := made(t, in); !slices.Equal(starts(plain), starts(around)) {
		t.Error("hours around the crew's change the plan")
	}
	k.People[0].Hours = onDays(8*60, 12*60, 1, 2, 3, 4, 5)
	k.People[2].Hours = onDays(8*60, 17*60, 1, 3, 5)
	two := made(t, in)
	was := runtime.GOMAXPROCS(1)
	one := made(t, in)
	runtime.GOMAXPROCS(was)
	if written(t, one) != written(t, two) {
		t.Error("on one processor the plan is another")
	}
	in.Prior = two
	again, moved := made(t, in), 0
	for _, s := range starts(again) {
		if !slices.Contains(starts(two), s) {
			moved++
		}
	}
	if again.Finish > two.Finish || moved > len(again.Activities)/10 {
		t.Errorf("made again with nothing new, %d of %d activities are others, done at %d instead of %d", moved, len(two.Activities), again.Finish, two.Finish)
	}
}

// A simulated run without uncertainty is the plan, and in others everybody who begins
// something is there to its planned end.
func TestSimulationKeepsOwnHours(t *testing.T) {
	in := small(t, 5, 2)
	in.Firm.Crews = slices.Clone(in.Firm.Crews[1:])
	in.Firm.Crews[0].People = []Person{{Name: "Ida", Hours: onDays(8*60, 12*60, 1, 2, 3, 4, 5)}, {Name: "Jon"}}
	p := made(t, in)
	met := map[string]int{}
	s := newSimulation(p, Uncertainty{Least: 0.8, Most: 2, BreakChance: 0.1, Seed: 3}, indexPieces(p.Layouts).ofAreas(p.Areas))
	for range 10 {
		s.run()
		for i := range s.nodes {
			a, n := &p.Activities[i], &s.nodes[i]
			if a.Crew == "" || n.end == n.start {
				continue
			}
			at := s.clock.At(n.start)
			by := n.gangs[n.by].setters
			met[fmt.Sprint(by)]++
			if by < a.Setters {
				met["fewer"]++
			}
			if by == 2 && (at.Hour() < 8 || at.Hour() >= 12) {
				t.Errorf("%s is begun by two at %s", a.ID, at)
			}
		}
	}
	if met["1"] == 0 || met["2"] == 0 || met["fewer"] == 0 {
		t.Errorf("begun by one, by two and by fewer than planned: %v", met)
	}
}

// Of fewer setters those are taken to be left who are always there, and who is asked to be
// away on a day when she does not come anyway is missed once.
func TestWhatIfWithOwnHours(t *testing.T) {
	in := small(t, 3, 1)
	in.Firm.Crews = slices.Clone(in.Firm.Crews[1:])
	in.Firm.Crews[0].People = []Person{{Name: "Ida", Hours: onDays(8*60, 12*60, 1, 2)}, {Name: "Jon"}}
	next, err := Change{Kind: MoreSetters, Crew: "birch", Count: -1}.apply(in)
	if err != nil {
		t.Fatal(err)
	}
	if k := next.Firm.Crews[0]; k.ownHours() || k.Setters != 1 {
		t.Errorf("left is %+v", k.People)
	}
	from := day("2026-03-17") // a Tuesday
	next, err = Change{Kind: PersonAway, Crew: "birch", Text: "ida", From: from, To: from.AddDays(1)}.apply(in)
	if err != nil {
		t.Fatal(err)
	}
	k := next.Firm.Crews[0]
	for _, c := range []struct {
		day  rooms.Date
		want int
	}{{from.AddDays(-1), 2}, {from, 1}, {from.AddDays(1), 1}} {
		if s, _ := k.strength(c.day, 9*60); s != c.want {
			t.Errorf("on %s %d setters are there, want %d", c.day, s, c.want)
		}
	}
}

// In the nights in which the clock is put forward or back, in which some of a crew come
// for a part of them, no more work than are there.
func TestOwnHoursOverClockChanges(t *testing.T) {
	for _, c := range []struct{ zone, night string }{{"Europe/Berlin", "2026-03-29"}, {"Europe/Berlin", "2026-10-25"}, {"Australia/Lord_Howe", "2026-04-05"}} {
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
		in.Firm.Crews = slices.Clone(in.Firm.Crews[1:])
		k := &in.Firm.Crews[0]
		k.Hours = append(slices.Clone(k.Hours), onDays(30, 6*60, 0)...)
		k.People = []Person{{Name: "Ida", Hours: append(onDays(2*60+30, 5*60, 0), onDays(8*60, 12*60, 1, 2, 3, 4, 5)...)}, {Name: "Jon", Hours: append(onDays(30, 2*60+30, 0), onDays(8*60, 17*60, 1, 2, 3, 4, 5)...)}}
		p := made(t, in)
		clock, night := Clock{p.Epoch, in.Firm.Zone}, 0
		for _, a := range p.Activities {
			for m := a.Start; a.Crew != "" && m < a.Finish; m++ {
				if clock.Day(m) != day(c.night) {
					continue
				}
				night++
				if at := clock.At(m); a.Setters > 1 || at.Hour() >= 5 {
					t.Fatalf("%s: %d setters work at %s", c.zone, a.Setters, at)
				}
			}
		}
		minutesShort(t, p)
		if night == 0 {
			t.Errorf("%s: nobody works in the night of the change: the test shows nothing", c.zone)
		}
	}
}

// A report of somebody on a day on which she was not expected teaches what she did.
func TestReportOfSomebodyNotExpected(t *testing.T) {
	in := oneAway(t, 1, 2, Absence{Who: "Jon", From: day("2026-01-01"), To: day("2026-01-02")})
	in.Firm.Crews[0].People = []Person{{Name: "Ida", Hours: onDays(8*60, 12*60, 1)}, {Name: "Jon"}}
	p := made(t, in)
	clock := Clock{p.Epoch, in.Firm.Zone}
	var records []Record
	days := map[rooms.Date]bool{}
	for _, a := range p.Activities {
		if a.Kind == kindSet && a.Setters == 1 && clock.At(a.Start).Weekday() > 1 {
			by := "Jon"
			if len(days)%2 == 0 {
				by = "ida"
			}
			days[clock.Day(a.Start)] = true
			records = append(records, Record{Kind: "area done", Activity: a.ID, Minutes: 2 * (a.Finish - a.Start), DoneBy: []string{by}})
		}
	}
	for _, l := range Learn(&in.Firm, p, records) {
		if l.Person == "Ida" && l.Days >= learnDays {
			return
		}
	}
	t.Errorf("nothing is learnt of her from %d reports on %d days: %v", len(records), len(days), Learn(&in.Firm, p, records))
}
