package cli

import (
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
)

// What is carried names its site where the day has one alone.
func TestOnlySite(t *testing.T) {
	doc := &plandoc.Document{
		Sites:      []plandoc.Site{{Key: "j/a", Name: "Elm House"}, {Key: "j/b"}},
		Rooms:      []plandoc.Room{{Key: "j/bath", Site: "j/a"}, {Key: "j/wc", Site: "j/a"}, {Key: "j/hall", Site: "j/b"}},
		Activities: []plandoc.Activity{{ID: "1", Room: "j/bath"}, {ID: "2", Room: "j/wc"}, {ID: "3", Room: "j/hall"}},
	}
	s := &summary{x: doc.Index()}
	for _, c := range []struct {
		ids  []string
		want string
	}{{[]string{"1", "2"}, ", to Elm House"}, {[]string{"3"}, ", to j/b"}, {[]string{"1", "3"}, ""}, {nil, ""}} {
		if got := s.onlySite(&plandoc.Sheet{Activities: c.ids}); got != c.want {
			t.Errorf("%v: %q, want %q", c.ids, got, c.want)
		}
	}
}
