package web

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

// What the office does to orders and prices on pages can be done by programs,
// with the same refusals.
func TestGoodsByAPI(t *testing.T) {
	s := newSite(t, nil)
	s.desks.states[plandoctest.Order] = OrderState{Key: plandoctest.Order, Number: "17", State: "placed"}
	s.signIn("3")
	for path, body := range map[string]string{"/orders/17/step": `{"to":"cancelled"}`, "/prices": `{"source":"kiln","list":"product,price\n"}`,
		"/orders/17/adjust": `{"key":"key-number-1","kind":"reduce","product":"slate-30","quantity":2}`} {
		if r := s.json("/api/v1"+path, body); r.code != http.StatusForbidden {
			t.Errorf("a crew gets %d at %s", r.code, path)
		}
	}
	s.signIn("2")
	adjust := func(n float64) string {
		return fmt.Sprintf(`{"key":"key-number-1","kind":"reduce","product":"slate-30","quantity":%g}`, n)
	}
	for _, c := range []struct {
		name, path, body string
		code             int
		holds            string
		acts             int
	}{
		{"no such step", "/orders/17/step", `{"to":"burnt"}`, 422, "", 0},
		{"no such day", "/orders/17/step", `{"to":"confirmed","delivery":"2026-13-04"}`, 422, "", 0},
		{"no such order", "/orders/99/step", `{"to":"confirmed"}`, 404, "", 0},
		{"confirmed", "/orders/17/step", `{"to":"confirmed","delivery":"2026-03-09"}`, 200, `"state":"confirmed"`, 0},
		{"cancelled", "/orders/17/step", `{"to":"cancelled","note":"another tile"}`, 200, `"state":"cancelled"`, 0},
		{"a change of nothing", "/orders/17/adjust", adjust(0), 422, "", 0},
		{"a change nobody asks for", "/orders/17/adjust", adjust(3), 409, "no longer asks", 0},
		{"a change", "/orders/17/adjust", adjust(2), 200, `"number":17`, 1},
		{"an empty list", "/prices", `{"source":"kiln","list":""}`, 422, "", 0},
		{"a wrong row", "/prices", `{"source":"kiln","list":"product,price\nslate-30,-5\n","from":"2026-03-04"}`, 422, "is negative", 0},
		{"a row left out", "/prices", `{"source":"kiln","list":"product,price\nslate-30,5\npink,7\n","from":"2026-03-04","skip":true}`, 200, `"line":3`, 1},
		{"a list", "/prices", `{"source":"kiln","list":"Art;Net\nslate-30;5,50\n","from":"2026-03-04","columns":{"product":"Art","price":"Net"}}`, 200, `"prices":1`, 1},
	} {
		before := len(s.desks.again)
		if r := s.json("/api/v1"+c.path, c.body); r.code != c.code || !strings.Contains(r.body, c.holds) {
			t.Errorf("%s: %d, want %d and %q:\n%s", c.name, r.code, c.code, c.holds, r.body)
		}
		if got := len(s.desks.again) - before; got != c.acts {
			t.Errorf("%s: %d changes were made, want %d", c.name, got, c.acts)
		}
	}
	if r := s.get("/api/v1/prices"); r.code != 200 || !strings.Contains(r.body, `"price":"52.10"`) {
		t.Errorf("history: %d\n%s", r.code, r.body)
	}
}

// Goods of an order that names a site lie there, unless it is said that they lie
// in the yard; an order to the yard asks nothing.
func TestWhereADeliveryLies(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("2")
	s.desks.states[plandoctest.Order] = OrderState{Key: plandoctest.Order, Number: "17", State: "placed"}
	order := &s.desks.plan.Document.Orders[0]
	order.Place = nil
	if r := s.get("/orders/17"); strings.Contains(r.body, `name="lies"`) {
		t.Error("an order to the yard asks where its goods lie")
	}
	site := "orchard/site"
	order.Place = &site
	if r := s.get("/orders/17"); !strings.Contains(r.body, `name="lies"`) {
		t.Errorf("an order to a site does not ask where its goods lie")
	}
	for lies, yard := range map[string]bool{"": false, `,"lies":"site"`: false, `,"lies":"yard"`: true} {
		body := `{"key":"key-number-1","date":"2026-03-04"` + lies + `,"lines":[{"product":"slate-30","packages":1}]}`
		r := s.json("/api/v1/orders/17/receipts", body)
		if r.code != 200 || s.desks.receipt[len(s.desks.receipt)-1].Yard != yard {
			t.Errorf("%q: %d, booked in the yard: %v", lies, r.code, s.desks.receipt)
		}
	}
}
