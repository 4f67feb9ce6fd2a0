package web

import (
	"net/http"
	"slices"
	"strings"
	"testing"
)

// What was given up is listed with its reason and sent again by the desk; what
// is on the way is told apart from it.
func TestDeliveries(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("2")
	r := s.get("/deliveries")
	for _, want := range []string{"550 no such &lt;box&gt;", `action="/deliveries/7/again"`, "Day sheet of bo", "1 sheet issued"} {
		if !strings.Contains(r.body, want) {
			t.Errorf("the page lacks %q:\n%s", want, r.body)
		}
	}
	if strings.Contains(r.body, "/deliveries/8/again") {
		t.Error("what is on the way can be sent again")
	}
	if r := s.post("/deliveries/7/again", nil); r.code != http.StatusSeeOther {
		t.Errorf("send again answers %d", r.code)
	}
	if r := s.post("/deliveries/9/again", nil); r.code != http.StatusNotFound {
		t.Errorf("a message that is not there answers %d", r.code)
	}
	if len(s.desks.again) != 1 || !strings.HasSuffix(s.desks.again[0], " 7") {
		t.Errorf("sent again: %v", s.desks.again)
	}
	s.signIn("3")
	if r := s.post("/deliveries/7/again", nil); r.code != http.StatusForbidden || len(s.desks.again) != 1 {
		t.Errorf("a crew sends again: %d, %v", r.code, slices.Clone(s.desks.again))
	}
}
