package app

import (
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/web"
)

func TestOwnWork(t *testing.T) {
	amber, slate := "amber", "slate"
	d := &plandoc.Document{
		Activities: []plandoc.Activity{{ID: "a1", Crew: &amber, Surfaces: []string{"j/r/north"}}, {ID: "s1", Crew: &slate, Surfaces: []string{"j/r/south"}}, {ID: "hold"}},
		Areas:      []plandoc.Area{{ID: "a1/area", Crew: amber, Pieces: []string{"p1"}}, {ID: "s1/area", Crew: slate, Pieces: []string{"p2"}}},
	}
	for _, c := range []struct {
		name string
		in   web.RecordIn
		own  bool
	}{
		{"its area", web.RecordIn{Area: "a1/area"}, true},
		{"another's area", web.RecordIn{Area: "s1/area"}, false},
		{"its piece", web.RecordIn{Pieces: []string{"p1"}}, true},
		{"one piece of another's", web.RecordIn{Pieces: []string{"p1", "p2"}}, false},
		{"its activity", web.RecordIn{Activity: "a1"}, true},
		{"a hold by others", web.RecordIn{Activity: "hold"}, false},
		{"its surface", web.RecordIn{Surface: "j/r/north"}, true},
		{"another's surface", web.RecordIn{Surface: "j/r/south"}, false},
		{"a note", web.RecordIn{Kind: "note"}, true},
	} {
		c.in.By = web.User{Role: web.Crew, Crew: amber}
		if got := ownWork(d, c.in); got != c.own {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
