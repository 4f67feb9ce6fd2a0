package web

import (
	"fmt"
	"net/url"
	"strings"
	"testing"
)

// Who is away is reported from the sheet by the crew and from the page of the crews by
// the office, by name where there are names; what makes no sense is refused by its field.
func TestSomebodyIsAway(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("3")
	if body := s.get(today).body; !strings.Contains(body, `<option value="setter">a setter</option>`) {
		t.Error("without names the sheet offers no setter")
	}
	withNames(s.desks)
	if body := s.get(today).body; !strings.Contains(body, `id="away-form"`) || !strings.Contains(body, `<option value="Jon">Jon</option><option value="Mia">Mia (helper)</option>`) {
		t.Error("the sheet offers no names")
	}
	form := func(changes ...string) url.Values {
		f := url.Values{"key": {"a-" + fmt.Sprint(len(s.desks.records), changes)}, "kind": {"away"}, "crew": {"ada"}, "date": {"2026-03-05"}, "until": {"2026-03-09"}, "who": {"Jon"}}
		for i := 0; i < len(changes); i += 2 {
			f.Set(changes[i], changes[i+1])
		}
		return f
	}
	for _, c := range []struct {
		form url.Values
		says string // "" where it is taken
	}{
		{form(), ""},
		{form("until", ""), ""},
		{form("away_from", "13:00"), ""},
		{form("away_to", "09:30"), ""},
		{form("until", "2026-12-01", "away_from", "09:00", "away_to", "11:00"), ""},
		{form("who", " "), "Say who is away"},
		{form("until", "2026-03-04"), "lies before the first"},
		{form("until", "soon"), "not of the form"},
		{form("date", "2027-06-01"), "more than a year ahead"},
		{form("away_from", "noon"), "not of the form 14:30"},
		{form("away_from", "13:00", "away_to", "13:00"), "not back by 13:00"},
		{form("crew", "bo"), "another crew"},
	} {
		before := len(s.desks.records)
		r := s.post("/record", c.form)
		if c.says == "" {
			if r.code != 303 || r.head.Get("Location") != "/crews" || len(s.desks.records) != before+1 {
				t.Errorf("%v answers %d to %q", c.form, r.code, r.head.Get("Location"))
			}
			continue
		}
		if r.code < 400 || !strings.Contains(r.body, c.says) || len(s.desks.records) != before {
			t.Errorf("%v answers %d, want %q", c.form, r.code, c.says)
		}
	}
	if got := s.desks.records[1]; got.Until != "2026-03-05" {
		t.Errorf("one day: %+v", got.RecordIn)
	}
	body := s.get("/crews").body
	for _, want := range []string{"Ada", "<li>Jon</li><li>Mia (helper)</li>", "Jon from Thu 5 Mar until Mon 9 Mar</a>", "Jon on Thu 5 Mar</a>", "Jon from Thu 5 Mar until Mon 9 Mar, from 13:00 on", ", until 09:30", ", 09:00–11:00"} {
		if !strings.Contains(body, want) {
			t.Errorf("the page of the crews lacks %q", want)
		}
	}
	if strings.Contains(body, `id="h-bo"`) {
		t.Error("a crew sees another crew")
	}
	page := s.get("/records/" + s.desks.records[2].ID).body
	for _, want := range []string{`<option value="Jon" selected>`, `name="away_from" value="13:00"`, `name="away_to" value=""`, `name="until" value="2026-03-09"`, `name="back" value="crews"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the form that puts it right lacks %s", want)
		}
	}
	s.signIn("2")
	if body := s.get("/crews").body; !strings.Contains(body, `id="h-bo"`) || !strings.Contains(body, `id="h-ada"`) {
		t.Error("the office does not see all crews")
	}
	b := s.json("/api/v1/records", `{"key": "away-0001", "kind": "away", "crew": "ada", "date": "2026-03-05", "until": "2026-03-06", "who": "Mia", "away_from": "12:00"}`)
	if got := s.desks.records[len(s.desks.records)-1]; b.code >= 300 || got.Who != "Mia" || got.AwayFrom != "12:00" || got.AwayTo != "24:00" {
		t.Errorf("the API answers %d %s, recorded %+v", b.code, b.body, got.RecordIn)
	}
}
