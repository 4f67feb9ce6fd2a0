package plandoc_test

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/scheduler"
)

// A crew whose people have names says who of them is there: whoever is away for the whole
// day is not.
func TestThereByName(t *testing.T) {
	away := func(who string, helper bool) plandoc.Absence {
		return plandoc.Absence{Who: who, Helper: helper, From: "2026-03-04", To: "2026-03-05"}
	}
	for _, c := range []struct {
		name   string
		away   []plandoc.Absence
		hourly []plandoc.HourlyAbsence
		want   string
	}{
		{"all", nil, nil, "Jon, Ida, Mia (helper)"},
		{"without one", []plandoc.Absence{away("jon", false)}, nil, "Ida, Mia (helper)"},
		{"some hours", nil, []plandoc.HourlyAbsence{{Absence: away("Jon", false), Start: "13:00", End: "15:30"}}, "Jon, Ida, Mia (helper)"},
		{"without the helper", []plandoc.Absence{away("Mia", true)}, nil, "Jon, Ida"},
	} {
		d := &plandoc.Document{Crews: []plandoc.Crew{{Key: "ada", Setters: 2, Helpers: 1, Away: c.away, AwayHours: c.hourly,
			People: []plandoc.Person{{Name: "Mia", Helper: true}, {Name: "Jon"}, {Name: "Ida"}}}}}
		if got := strings.Join(d.Index().There("ada", "2026-03-04").Names, ", "); got != c.want {
			t.Errorf("%s: there are %q, want %q", c.name, got, c.want)
		}
	}
}

// Who of a crew is there on a day, who is away, and how a crew is called then.
func TestThere(t *testing.T) {
	all := func(who string, helper bool, from, to string) plandoc.Absence {
		return plandoc.Absence{Who: who, Helper: helper, From: from, To: to}
	}
	for _, c := range []struct {
		name, units     string
		away            []plandoc.Absence
		hourly          []plandoc.HourlyAbsence
		hands, who, now string
	}{
		{"all", "metric", nil, nil, "2 setters, 1 helper", "", "Ada's crew"},
		{"another day", "metric", []plandoc.Absence{all("Jon", false, "2026-03-05", "2026-03-09")}, nil, "2 setters, 1 helper", "", "Ada's crew"},
		{"the day alone", "metric", []plandoc.Absence{all("Jon", false, "2026-03-04", "2026-03-04")}, nil, "1 setter, 1 helper", "Jon (setter)", "Ada's crew without Jon"},
		{"until another", "metric", []plandoc.Absence{all("Mia", true, "2026-03-02", "2026-03-05")}, nil, "2 setters", "Mia (helper) until Thu 5 Mar", "Ada's crew without Mia"},
		{"nobody named", "imperial", []plandoc.Absence{all("", false, "2026-03-02", "2026-03-05")}, nil, "1 setter, 1 helper", "a setter until Thu, Mar 5", "Ada's crew without a setter"},
		{"some hours", "metric", nil, []plandoc.HourlyAbsence{{Absence: all("Jon", false, "2026-03-04", "2026-03-05"), Start: "13:00", End: "15:30"}},
			"2 setters, 1 helper", "Jon (setter) 13:00–15:30", "Ada's crew without Jon 13:00–15:30"},
		{"some hours of a day in two halves", "imperial", nil, []plandoc.HourlyAbsence{{Absence: all("Jon", false, "2026-03-04", "2026-03-05"), Start: "13:00", End: "15:30"}},
			"2 setters, 1 helper", "Jon (setter) 1:00–3:30 pm", "Ada's crew without Jon 1:00–3:30 pm"},
		{"two", "metric", []plandoc.Absence{all("Jon", false, "2026-03-04", "2026-03-04"), all("Mia", true, "2026-03-04", "2026-03-04")}, nil,
			"1 setter", "Jon (setter), Mia (helper)", "Ada's crew without Jon and Mia"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := &plandoc.Document{Units: c.units, Zone: "Europe/Vienna", Crews: []plandoc.Crew{{Key: "ada", Name: "Ada's crew", Setters: 2, Helpers: 1, Away: c.away, AwayHours: c.hourly}}}
			x := d.Index()
			if got := x.There("ada", "2026-03-04").Hands(); got != c.hands {
				t.Errorf("there are %q, want %q", got, c.hands)
			}
			if got := strings.Join(x.AwayWords("ada", "2026-03-04"), ", "); got != c.who {
				t.Errorf("away are %q, want %q", got, c.who)
			}
			if got := x.CrewOn("ada", "2026-03-04"); got != c.now {
				t.Errorf("called %q, want %q", got, c.now)
			}
		})
	}
}

// Plans of crews whose people have names, paces and absences of their own keep all rules,
// and their documents name the people and nothing else of them.
func TestPlansOfNamedCrews(t *testing.T) {
	for seed := range uint64(2) {
		in := randomInput(seed)
		in.Firm.Crews = slices.Clone(in.Firm.Crews)
		for i := range in.Firm.Crews {
			k := &in.Firm.Crews[i]
			k.Away = nil
			for n := range k.Setters + k.Helpers {
				p := scheduler.Person{Name: fmt.Sprintf("%s %d", k.Key, n+1), Helper: n >= k.Setters, Pace: 0.75 + 0.5*float64(n%3)}
				k.People = append(k.People, p)
				if n == 1 {
					k.Away = append(k.Away, scheduler.Absence{Who: p.Name, Helper: p.Helper, From: in.Today.AddDays(2), To: in.Today.AddDays(9)})
				}
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
		k := in.Firm.Crews[0]
		text, err := json.Marshal(doc.Crews[0].People[0])
		if want := fmt.Sprintf(`{"name":"%s 1","helper":false}`, k.Key); err != nil || string(text) != want || len(doc.Crews[0].People) != len(k.People) {
			t.Errorf("seed %d: a person is written %s, want %s (%v)", seed, text, want, err)
		}
	}
}
