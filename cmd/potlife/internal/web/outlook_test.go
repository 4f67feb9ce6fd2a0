package web

import (
	"net/url"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

// The schedule and a room's page say how sure its date is and what most often holds
// it up, and so does the API.
func TestLikelyDates(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("1")
	for page, want := range map[string][]string{
		"/schedule":                        {`id="likely"`, "half of 100 simulated runs finish by Mon 9 Mar", "10 of 100 simulated runs", "What most often holds up the finish", "85 %", "holds up the finish in 85 % of runs"},
		"/schedule?job=" + plandoctest.Job: {"10 of 100 simulated runs", "85 %"},
		"/rooms/" + plandoctest.Room:       {"in 8 of 10 by <b>Mon 9 Mar</b>", `<b class="late">10 of 100 simulated runs</b>`, "85 % of the runs: ", "holds up the finish in 85 % of runs"},
		"/api/v1/likely":                   {`"runs":100`, `"held_by":[{"activity":"prep"`, `"share":0.85`, `"chance":0.1`},
	} {
		r := s.get(page)
		for _, w := range want {
			if r.code != 200 || !strings.Contains(r.body, w) {
				t.Errorf("%s (%d) does not say %s", page, r.code, w)
			}
		}
	}
	if r := s.get("/schedule?job=other"); strings.Contains(r.body, "85 %") {
		t.Error("the schedule of a job names what holds up another")
	}
}

func TestWhatIf(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("1")
	if r := s.get("/board"); !strings.Contains(r.body, "8 of 10 runs by Mon 9 Mar") || !strings.Contains(r.body, "due date kept in 10 of 100 simulated runs") || !strings.Contains(r.body, `href="/what-if"`) {
		t.Error("the board shows no likely dates")
	}
	r := s.get("/what-if?kind=crew+away&crew=ada&from=2026-03-04&to=2026-03-05")
	if r.code != 200 || !strings.Contains(r.body, `id="answer"`) || !strings.Contains(r.body, "2 d later") || !strings.Contains(r.body, "crew away ada") {
		t.Errorf("the answer: %d %s", r.code, r.body)
	}
	for query, says := range map[string]string{
		"kind=flood": "no question",
		"kind=crew+away&crew=ada&from=2026-03-04":                           "Choose the last day",
		"kind=crew+away&crew=ada&from=2026-03-04&to=2026-03-01":             "lies before",
		"kind=crew+away&crew=ada&from=4.3.&to=2026-03-01":                   "not of the form",
		"kind=more+setters&crew=ada&count=many":                             "whole number",
		"kind=more+setters&crew=ada&count=0":                                "other than 0",
		"kind=more+setters&crew=nobody&count=1":                             "no crew nobody",
		"kind=room+due&from=2026-03-04":                                     "Choose the room",
		"kind=order+late&count=3":                                           "Choose the order",
		"kind=order+of+work&room=x&text=upside+down":                        "none of them",
		"kind=person+away&crew=ada&from=2026-03-04&to=2026-03-05&text=cook": "none of them",
	} {
		if r := s.get("/what-if?" + query); r.code != 422 || !strings.Contains(r.body, says) || !strings.Contains(r.body, `role="alert"`) {
			t.Errorf("%s answers %d", query, r.code)
		}
		if r := s.get("/api/v1/what-if?" + query); r.code != 422 {
			t.Errorf("the API answers %s with %d", query, r.code)
		}
	}
}

// Only an order that was placed and has not come can be late: until there is
// one the question is not offered.
func TestWhatIfAnOrderIsLate(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("1")
	if r := s.get("/what-if"); strings.Contains(r.body, "comes late") {
		t.Error("a late order is offered with none placed")
	}
	key := s.desks.plan.Document.Orders[0].Key
	s.desks.states[key] = OrderState{Key: key, Number: "17", State: "placed"}
	r := s.get("/what-if?kind=order+late&count=5&order=" + url.QueryEscape(key))
	if r.code != 200 || !strings.Contains(r.body, `<option value="`+key+`" selected>17, `) || !strings.Contains(r.body, "order late, 17, &#43;5") {
		t.Errorf("the answer: %d %s", r.code, r.body)
	}
	s.desks.states[key] = OrderState{Key: key, Number: "17", State: "received"}
	if r := s.get("/what-if"); strings.Contains(r.body, "comes late") {
		t.Error("an order that came is offered as late")
	}
}

func TestWithoutAnOutlook(t *testing.T) {
	s := newSite(t, func(o *Options) { o.Outlook = nil })
	s.signIn("1")
	if r := s.get("/board"); r.code != 200 || strings.Contains(r.body, "what-if") || !strings.Contains(r.body, "8 of 10") {
		t.Errorf("the board answers %d, or offers what there is not", r.code)
	}
	for _, p := range []string{"/what-if", "/api/v1/what-if?kind=crew+away"} {
		if r := s.get(p); r.code != 404 {
			t.Errorf("%s answers %d", p, r.code)
		}
	}
}
