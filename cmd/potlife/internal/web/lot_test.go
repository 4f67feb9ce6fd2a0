package web

import (
	"net/url"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

// The page of an order asks about another lot of a line of tile; the answer says
// what changes and offers to take it, mixed only when that is said.
func TestAnotherLot(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("2")
	order := "/orders/" + plandoctest.Order
	if r := s.get(order); !strings.Contains(r.body, `action="`+order+`/lot"`) {
		t.Fatal("the page of a draft does not ask about another lot")
	}
	r := s.get(order + "/lot?line=1&lot=B7")
	for _, want := range []string{"lot B7 instead of lot K7", "1\u202f234.50 EUR; 234.50 EUR more, was 1\u202f000.00 EUR", "a calibre &lt;off&gt;", `value="seen B7"`, "Place the order with lot B7"} {
		if !strings.Contains(r.body, want) {
			t.Errorf("the answer lacks %q", want)
		}
	}
	if r.code != 200 || strings.Contains(r.body, `name="mixed"`) {
		t.Errorf("answers %d, or asks to mix lots where none are mixed", r.code)
	}
	if r := s.get(order + "/lot?line=1&lot=B7&boxes=5"); !strings.Contains(r.body, `name="mixed"`) || !strings.Contains(r.body, "two lots side by side") {
		t.Error("rooms of two lots are not named")
	}
	for q, code := range map[string]int{"line=1&lot=none": 422, "line=0&lot=B7": 422, "line=99&lot=B7": 422, "line=x&lot=B7": 422, "line=1&lot=+": 422, "line=1&lot=B7&boxes=many": 422,
		"line=1&lot=B7&boxes=0": 422, "line=1&lot=B7&boxes=-2": 422, "line=1&lot=B7&boxes=99999999999999999999": 422, "line=1&lot=" + strings.Repeat("B", 101): 422} {
		if r := s.get(order + "/lot?" + q); r.code != code || !strings.Contains(r.body, `id="trouble"`) || strings.Contains(r.body, `id="take-form"`) {
			t.Errorf("%.40s answers %d, want %d and what is wrong", q, r.code, code)
		}
	}
	form := url.Values{"line": {"1"}, "lot": {"B7"}, "boxes": {"5"}, "seen": {"seen B7"}, "note": {"as agreed"}}
	if r := s.post(order+"/lot", form); r.code != 409 || len(s.desks.again) != 0 || !strings.Contains(r.body, "as agreed") {
		t.Errorf("two lots in a room are taken unasked: %d, %v", r.code, s.desks.again)
	}
	form.Set("mixed", "yes")
	if r := s.post(order+"/lot", form); r.code != 303 || len(s.desks.again) != 1 || s.desks.again[0] != "lot B7 on line 1 of "+plandoctest.Order+" by Olive: as agreed" {
		t.Errorf("answers %d, %v", r.code, s.desks.again)
	}
	form.Set("seen", "something else")
	if r := s.post(order+"/lot", form); r.code != 409 || len(s.desks.again) != 1 {
		t.Errorf("what was not looked at is taken: %d", r.code)
	}
	api := "/api/v1/orders/" + plandoctest.Order + "/lot"
	if r := s.get(api + "?line=1&lot=B7&boxes=5"); r.code != 200 || !strings.Contains(r.body, `"mixed":["`+plandoctest.Room+`"]`) || !strings.Contains(r.body, `"difference":"234.50"`) {
		t.Errorf("the API says %d %s", r.code, r.body)
	}
	if r := s.json(api, `{"line":1,"lot":"B7","boxes":5,"seen":"seen B7"}`); r.code != 409 {
		t.Errorf("the API takes two lots unasked: %d", r.code)
	}
	if r := s.json(api, `{"line":1,"lot":"B7","boxes":5,"seen":"seen B7","mixed":true}`); r.code != 200 || len(s.desks.again) != 2 {
		t.Errorf("the API answers %d, %v", r.code, s.desks.again)
	}
	s.desks.states[plandoctest.Order] = OrderState{Key: plandoctest.Order, Number: "17", State: "received"}
	if r := s.get("/orders/17"); strings.Contains(r.body, `id="lot-form"`) {
		t.Error("an order that has come asks about another lot")
	}
	s.signIn("3")
	if r := s.get(order + "/lot?line=1&lot=B7"); r.code != 403 {
		t.Errorf("a crew looks at lots: %d", r.code)
	}
}
