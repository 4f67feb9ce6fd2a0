package scheduler

import (
	"encoding/json"
	"math/rand/v2"
	"strings"
	"testing"
)

// A report that somebody is away makes the plan that the same absence in the firm makes.
func TestReportedAwayIsAnAbsence(t *testing.T) {
	in := small(t, 3, 2)
	in.Firm.Crews = in.Firm.Crews[1:]
	usual := made(t, in)
	away := Absence{Who: "Ida", From: day("2026-03-23"), To: day("2026-04-10")}
	report := Record{Kind: "away", Crew: in.Firm.Crews[0].Key, Away: &away}
	told := in
	told.Records = []Record{report, report, // the same from two phones
		{Kind: "away", Crew: "gone", Away: &away}, {Kind: "away", Crew: report.Crew}}
	withReport := made(t, told)
	in.Firm.Crews[0].Away = []Absence{away}
	want, got := asJSON(t, made(t, in)), asJSON(t, withReport)
	if got != want {
		t.Error("the report makes another plan than the absence")
	}
	if got == asJSON(t, usual) {
		t.Error("with nobody away the plan is the same: the test shows nothing")
	}
	if err := CheckPlan(withReport); err != nil {
		t.Error(err)
	}
}

func asJSON(t *testing.T, p *Plan) string {
	t.Helper()
	text, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// Whoever is called away several times is away when any of it says so, and counts once.
func TestReportedTwiceCountsOnce(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	first := day("2026-03-27") // with the night on which the clock goes forward
	random := func() Absence {
		a := Absence{Who: []string{"Ida", "ida", "Jon"}[r.IntN(3)], From: first.AddDays(r.IntN(6))}
		a.To = a.From.AddDays(r.IntN(4))
		if r.IntN(2) == 0 {
			a.Start = 30 * r.IntN(40)
			a.End = a.Start + 30*(1+r.IntN(48-a.Start/30))
		}
		return a
	}
	for range 300 {
		c := Crew{Key: "birch", Setters: 2, People: []Person{{Name: "Ida"}, {Name: "Jon"}}}
		var said []Absence
		var records []Record
		for range 1 + r.IntN(6) {
			a := random()
			said = append(said, a)
			records = append(records, Record{Kind: "away", Crew: "birch", Away: &a})
		}
		got := WithReported([]Crew{c}, records)[0]
		for d := first; d.Before(first.AddDays(11)); d = d.AddDays(1) {
			for minute := 0; minute < 24*60; minute += 15 {
				away := map[string]bool{}
				for _, a := range said {
					if a.on(d, minute) {
						away[strings.ToLower(a.Who)] = true
					}
				}
				if setters, _ := got.strength(d, minute); setters != 2-len(away) {
					t.Fatalf("on %s at minute %d %d setters are there, %d are away of %v\ncrew: %v", d, minute, setters, len(away), said, got.Away)
				}
			}
		}
	}
}

func TestRefusesAbsences(t *testing.T) {
	named := Crew{Setters: 2, Helpers: 1, People: []Person{{Name: "Ida"}, {Name: "Jon"}},
		Away: []Absence{{Who: "Ida", From: day("2026-03-03"), To: day("2026-03-05")}}}
	plain := Crew{Setters: 1, Helpers: 1, Away: []Absence{{From: day("2026-03-03"), To: day("2026-03-05"), Start: 420, End: 600}}}
	span := func(from, to string, hours ...int) Absence {
		a := Absence{From: day(from), To: day(to)}
		if len(hours) == 2 {
			a.Start, a.End = hours[0], hours[1]
		}
		return a
	}
	who := func(name string, a Absence) Absence { a.Who = name; return a }
	helper := func(a Absence) Absence { a.Helper = true; return a }
	for _, c := range []struct {
		crew Crew
		a    Absence
		says string
	}{
		{named, who("ida", span("2026-03-06", "2026-03-06")), ""},
		{named, who("Ida", span("2026-03-04", "2026-03-06")), ""},
		{named, who("ida", span("2026-03-04", "2026-03-05")), "Ida is away then already"},
		{named, who("Ida", span("2026-03-04", "2026-03-04", 420, 600)), "away then already"},
		{named, who("Otto", span("2026-03-04", "2026-03-04")), `nobody called "Otto"; its people are Ida, Jon`},
		{named, helper(span("2026-03-04", "2026-03-04")), ""},
		{named, who("Jon", span("2026-03-04", "2026-03-03")), "lies before the first"},
		{named, who("Jon", span("2026-03-04", "2027-03-06")), "more than a year"},
		{named, who("Jon", span("2026-03-04", "2026-03-04", 900, 900)), "15:00 to 15:00 is no part of a day"},
		{plain, span("2026-03-04", "2026-03-04", 600, 900), ""},
		{plain, span("2026-03-04", "2026-03-04", 540, 900), "it has 1 setter, and all of them are away on Wed"},
		{plain, span("2026-03-06", "2026-03-06"), ""},
		{plain, helper(who("Tom", span("2026-03-04", "2026-03-04"))), ""},
	} {
		why := c.crew.Refuses(c.a)
		if (c.says == "") != (why == "") || !strings.Contains(why, c.says) {
			t.Errorf("%v: %q, want %q", c.a, why, c.says)
		}
	}
}
