package plandoc_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
	"potlife/scheduler"
)

// Who is there for a part of a crew's hours says from when to when; who by hours of his own
// does not come on a day is not there and not away.
func TestThereByOwnHours(t *testing.T) {
	shifts := []plandoc.Span{{"2026-03-04T07:00:00+01:00", "2026-03-04T12:00:00+01:00"}, {"2026-03-04T12:30:00+01:00", "2026-03-04T16:00:00+01:00"}}
	week := func(start, end string, days ...int) (out []plandoc.WeekdayHours) {
		for _, d := range days {
			out = append(out, plandoc.WeekdayHours{Weekday: d, Start: start, End: end})
		}
		return out
	}
	const wednesday = "2026-03-04"
	for _, c := range []struct {
		name, units, hands, want, part string
		ida, tom                       plandoc.Person
		away                           []plandoc.Absence
	}{
		{name: "mornings", hands: "2 setters, 1 helper", want: "Ida 07:00–12:00, Jon, Tom (helper)", part: "Ida 07:00–12:00", ida: plandoc.Person{Hours: week("07:00", "12:00", 1, 2, 3)}},
		{name: "in inches", units: "imperial", hands: "2 setters, 1 helper", want: "Ida 7:00 am–12:00 pm, Jon, Tom (helper)", part: "Ida 7:00 am–12:00 pm", ida: plandoc.Person{Hours: week("06:00", "12:15", 3)}},
		{name: "another day of the week", hands: "1 setter, 1 helper", want: "Jon, Tom (helper)", ida: plandoc.Person{Hours: week("07:00", "12:00", 1, 2)}},
		{name: "around the crew's", hands: "2 setters, 1 helper", want: "Ida, Jon, Tom (helper)", ida: plandoc.Person{Hours: week("05:00", "20:00", 3)}},
		{name: "with a break of one's own", hands: "2 setters, 1 helper", want: "Ida 08:00–10:00, 11:00–12:00, 12:30–16:00, Jon, Tom (helper)", part: "Ida 08:00–10:00, 11:00–12:00, 12:30–16:00",
			ida: plandoc.Person{Hours: append(week("11:00", "18:00", 3), week("08:00", "10:00", 3)...)}},
		{name: "a day off", hands: "2 setters", want: "Ida, Jon", tom: plandoc.Person{Off: []string{wednesday}}},
		{name: "an extra day", hands: "2 setters, 1 helper", want: "Ida, Jon, Tom (helper)", tom: plandoc.Person{Hours: week("07:00", "12:00", 1), On: []string{wednesday}}},
		{name: "hours of the date", hands: "2 setters, 1 helper", want: "Ida, Jon, Tom (helper) 09:00–10:30", part: "Tom (helper) 09:00–10:30",
			tom: plandoc.Person{Hours: week("07:00", "12:00", 3), Dates: []plandoc.DateHours{{Date: wednesday, Start: "09:00", End: "10:30"}}}},
		{name: "away, and not there anyway", hands: "1 setter, 1 helper", want: "Jon, Tom (helper)", ida: plandoc.Person{Hours: week("07:00", "12:00", 1)},
			away: []plandoc.Absence{{Who: "ida", From: wednesday, To: wednesday}}},
	} {
		ida, tom := c.ida, c.tom
		ida.Name, tom.Name, tom.Helper = "Ida", "Tom", true
		d := &plandoc.Document{Units: c.units, Zone: "Europe/Vienna", Crews: []plandoc.Crew{{Key: "ada", Setters: 2, Helpers: 1, Hours: shifts, Away: c.away, People: []plandoc.Person{tom, ida, {Name: "Jon"}}}}}
		there := d.Index().There("ada", wednesday)
		if got := strings.Join(there.Names, ", "); got != c.want || there.Hands() != c.hands || strings.Join(there.Part, ", ") != c.part {
			t.Errorf("%s: there are %q (%s), in part %q, want %q (%s), %q", c.name, got, there.Hands(), there.Part, c.want, c.hands, c.part)
		}
		if n := d.Index().CrewOn("ada", wednesday); (n != "ada") != (len(c.away) > 0) {
			t.Errorf("%s: the crew is called %q", c.name, n)
		}
	}
}

// Plans of crews whose people come and go keep all rules; one in which somebody works who
// is not there is found out, whichever of the ways to say so has it.
func TestPlansWithOwnHours(t *testing.T) {
	damaged := 0
	for seed := range uint64(3) {
		in := randomInput(seed)
		in.Firm.Crews = slices.Clone(in.Firm.Crews)
		for i := range in.Firm.Crews {
			k := &in.Firm.Crews[i]
			k.Away = nil
			for n := range k.Setters + k.Helpers {
				p := scheduler.Person{Name: fmt.Sprintf("%s %d", k.Key, n+1), Helper: n >= k.Setters}
				for d := 1; d <= 5 && n != 0; d++ {
					if p.Helper && d%2 == 1 || !p.Helper {
						p.Hours = append(p.Hours, rooms.DayHours{Weekday: d, Start: 7 * 60, End: 12 * 60})
					}
				}
				if n == 1 {
					p.Special = []scheduler.DatedHours{{On: in.Today.AddDays(8), Start: 9 * 60, End: 11 * 60}}
					p.Off, p.On = []rooms.Date{in.Today.AddDays(9)}, []rooms.Date{in.Today.AddDays(10)}
					k.Away = []scheduler.Absence{{Who: p.Name, Helper: p.Helper, From: in.Today.AddDays(7), To: in.Today.AddDays(9), Start: 10 * 60, End: 15 * 60}}
				}
				k.People = append(k.People, p)
			}
		}
		p, err := scheduler.Make(context.Background(), in)
		if err != nil {
			t.Fatal(err)
		}
		doc := plandoc.FromPlan(p)
		for _, b := range plandoc.Check(doc) {
			t.Errorf("seed %d: %s", seed, b)
		}
		for i := range doc.Activities {
			a := &doc.Activities[i]
			if a.Crew == nil || a.Setters == 0 || a.State != "planned" {
				continue
			}
			for _, harm := range []func(*plandoc.Person, string){
				func(q *plandoc.Person, d string) { q.Off = append(slices.Clone(q.Off), d) },
				func(q *plandoc.Person, d string) {
					q.Dates = append(slices.Clone(q.Dates), plandoc.DateHours{Date: d, Start: "23:00", End: "23:30"})
				},
				func(q *plandoc.Person, _ string) {
					q.Hours = []plandoc.WeekdayHours{{Weekday: 7, Start: "23:00", End: "23:30"}}
				},
			} {
				bad := *doc
				bad.Crews = slices.Clone(doc.Crews)
				for k := range bad.Crews {
					bad.Crews[k].People = slices.Clone(bad.Crews[k].People)
					for n := range bad.Crews[k].People {
						harm(&bad.Crews[k].People[n], a.Start[:10])
					}
				}
				damaged++
				if !slices.ContainsFunc(plandoc.Check(&bad), func(b plandoc.Breach) bool { return strings.Contains(b.String(), "more at work than are there") }) {
					t.Errorf("seed %d: somebody works on %s who is not there, and nothing is said", seed, a.Start)
				}
			}
			break
		}
	}
	if damaged != 9 {
		t.Errorf("%d plans were damaged", damaged)
	}
}
