package web

import (
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
)

// What is found alike in several places is one line of the board, which names
// the places as people do and not by their keys.
func TestAlarmsAreSaidOnce(t *testing.T) {
	doc := &plandoc.Document{
		Rooms:    []plandoc.Room{{Key: "elm/bath", Name: "Bathroom"}},
		Surfaces: []plandoc.Surface{{Key: "elm/bath/n", Room: "elm/bath", Name: "north wall"}, {Key: "elm/bath/s", Room: "elm/bath", Name: "south wall"}},
		Findings: []plandoc.Finding{
			{Severity: "warn", Where: "elm/bath/n/field", Message: "thin bed"},
			{Severity: "info", Where: "elm/bath/n/field", Message: "flat ground"},
			{Severity: "stop", Where: "elm/bath", Message: "no lot"},
			{Severity: "warn", Where: "elm/bath/s/field", Message: "thin bed"},
			{Severity: "stop", Where: "elsewhere", Message: "thin bed"},
		},
	}
	v := &view{Plan: Plan{Document: doc}, x: doc.Index()}
	want := []alarm{
		{"stop", "Bathroom", "no lot"},
		{"stop", "elsewhere", "thin bed"},
		{"warn", "Bathroom (north wall, south wall)", "thin bed"},
	}
	got := v.alarms()
	if len(got) != len(want) {
		t.Fatalf("%d lines, expected %d: %v", len(got), len(want), got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("line %d is %v, expected %v", i, got[i], want[i])
		}
	}
}

// A crew is not led to the list of jobs, which it may not see; a link from the
// board meets its room on the page of the job.
func TestLinksOfAJobLeadSomewhere(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("1")
	const list = `<a href="/jobs">Jobs</a></p>`
	if !strings.Contains(s.get("/board").body, `href="/jobs/orchard#room-bath"`) {
		t.Error("the board does not lead to the room")
	}
	if body := s.get("/jobs/orchard").body; !strings.Contains(body, list) || !strings.Contains(body, `id="room-bath"`) {
		t.Error("the job does not lead back to the jobs, or holds no mark of its room")
	}
	s.signIn("3")
	if r := s.get("/jobs/orchard"); r.code != 200 || strings.Contains(r.body, list) {
		t.Errorf("a crew is led to a page it may not see (%d)", r.code)
	}
}

// A reading is put right in the unit it was written in.
func TestTapeText(t *testing.T) {
	for _, c := range []struct {
		imperial bool
		mm       float64
		want     string
	}{{false, -4, "-4 mm"}, {true, -3.175, "-0.125 in"}, {true, 1524, "60 in"}, {true, 0, ""}} {
		if got := tapeText(plandoc.Writing{Imperial: c.imperial}, c.mm); got != c.want {
			t.Errorf("%g mm is written %q, expected %q", c.mm, got, c.want)
		}
	}
}
