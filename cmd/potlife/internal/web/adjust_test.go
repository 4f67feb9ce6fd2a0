package web

import (
	"net/url"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

func TestOrderShowsWhatThePlanWouldChange(t *testing.T) {
	s := newSite(t, nil)
	doc := s.desks.plan.Document
	doc.Changes = []plandoc.Change{{Order: plandoctest.Order, Product: "slate-30", Kind: "reduce", Quantity: 2, Unit: "box", Credit: "104.20", Text: "two boxes fewer"},
		{Order: plandoctest.Order, Product: "flex", Kind: "keep", Quantity: 1, Unit: "bag", Text: "one bag to stock"}}
	s.signIn("2")
	if r := s.get("/orders/" + plandoctest.Order); strings.Contains(r.body, "two boxes fewer") {
		t.Error("a draft is shown with changes")
	}
	s.desks.states[plandoctest.Order] = OrderState{Key: plandoctest.Order, Number: "17", State: "placed"}
	r := s.get("/orders/17")
	if !strings.Contains(r.body, "two boxes fewer") || !strings.Contains(r.body, "one bag to stock") || strings.Count(r.body, `/orders/17/adjust"`) != 1 {
		t.Errorf("the page of the order:\n%s", r.body)
	}
	form := url.Values{"key": {"k"}, "kind": {"reduce"}, "product": {"slate-30"}, "quantity": {"2"}}
	if r := s.post("/orders/17/adjust", form); r.code != 303 || len(s.desks.again) != 1 {
		t.Errorf("answers %d, %v", r.code, s.desks.again)
	}
	for name, code := range map[string]int{"3": 409, "-1": 422, "much": 422} {
		form.Set("quantity", name)
		if r := s.post("/orders/17/adjust", form); r.code != code || len(s.desks.again) != 1 {
			t.Errorf("quantity %s answers %d, want %d", name, r.code, code)
		}
	}
}

func TestCostsAsCSV(t *testing.T) {
	s := newSite(t, nil)
	doc := s.desks.plan.Document
	job := doc.Jobs[0].Key
	doc.Costs = []plandoc.Cost{{Room: plandoctest.Room, Job: job, Tiles: "100.10", Products: "20.05", Labour: "300", Total: "420.15", SetterMinutes: 90, HelperMinutes: 30, DoneLabour: "50", WorkedLabour: "62.5",
		Packages: []plandoc.PackageUse{{Product: "flex", Planned: 3.4, Opened: 4}}},
		{Room: plandoctest.Room, Job: job, Tiles: "0.90", Products: "0", Labour: "0", Total: "0.90"}}
	s.signIn("2")
	if r := s.get("/takeoff/costs.csv"); !strings.Contains(r.body, job+","+plandoctest.Room+","+doc.Currency+",100.10,20.05,300,420.15,90,30,0,0,50,62.5,0,0,flex 4/3.4") {
		t.Errorf("CSV:\n%s", r.body)
	}
}

func TestCostsTellOpenedBags(t *testing.T) {
	s := newSite(t, nil)
	doc := s.desks.plan.Document
	for i := range 2 {
		doc.Costs = append(doc.Costs, plandoc.Cost{Room: plandoctest.Room, Job: doc.Jobs[0].Key, Packages: []plandoc.PackageUse{{Product: "flex", Planned: 1.5, Opened: float64(1 + i)}}})
	}
	s.signIn("2")
	if r := s.get("/takeoff"); !strings.Contains(r.body, "2 of 1.5 planned") || !strings.Contains(r.body, "3 of 3 planned") {
		t.Error("the page does not tell the bags opened by room and job")
	}
}

func TestAPIKnowsItsMethods(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("2")
	for _, c := range []struct {
		method, path, allow string
		code                int
	}{
		{"DELETE", "/api/v1/orders/" + plandoctest.Order, "GET, HEAD", 405},
		{"GET", "/api/v1/orders/" + plandoctest.Order + "/place", "POST", 405},
		{"GET", "/api/v1/nothing", "", 404},
		{"GET", "/api/v1/orders/99", "", 404},
	} {
		if r := s.do(s.request(c.method, c.path, "", "")); r.code != c.code || r.head.Get("Allow") != c.allow {
			t.Errorf("%s %s: %d, Allow %q", c.method, c.path, r.code, r.head.Get("Allow"))
		}
	}
}
