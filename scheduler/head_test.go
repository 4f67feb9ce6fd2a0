package scheduler

import (
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// A door of 2 by 2 tiles of 200 mm stands in a wall of 5 by 4: the third course hangs over it, and the leftmost of its
// pieces over the door carries the time of the batten. A pipe, a narrow slit and what ends above the tile carry none.
func TestHeadsAreSupported(t *testing.T) {
	tests := []struct {
		name string
		kind string
		box  [4]rooms.Length // left, foot, right, head in mm
		want string
	}{
		{"a door", "door", [4]rooms.Length{203, 0, 606, 403}, "c1"},
		{"a window", "window", [4]rooms.Length{406, 203, 606, 606}, "d2"},
		{"a niche whose head cuts into a course", "niche", [4]rooms.Length{406, 203, 606, 500}, "c2"},
		{"a pipe", "pipe", [4]rooms.Length{406, 203, 606, 500}, ""},
		{"a slit", "window", [4]rooms.Length{406, 203, 500, 606}, ""},
		{"a door up to the ceiling", "door", [4]rooms.Length{203, 0, 606, 900}, ""},
	}
	for _, tt := range tests {
		l := wall(4, 5, 0)
		b := tt.box
		ring := rooms.Rect(b[0]*mm, b[1]*mm, b[2]*mm, b[3]*mm)
		l.Openings = []takeoff.LaidOpening{{Key: "o", Outline: rooms.Polygon{Outer: ring}}}
		s := &rooms.Surface{Key: "w", Kind: rooms.Wall, Openings: []rooms.Opening{{Key: "o", Kind: tt.kind, Outline: ring}}}
		f := &surfaceWork{key: "w", src: s, layout: l, order: settingOrder(l, s)}
		got := ""
		for id := range heads(f) {
			got += id
		}
		if got != tt.want {
			t.Errorf("%s: %q hangs first, want %q", tt.name, got, tt.want)
		}
	}
}

// The sheet of the day on which a wall reaches over its door says so, once, and for how long the batten stays.
func TestSupportStandsOnTheSheetOnce(t *testing.T) {
	found := 0
	for seed := uint64(1); seed <= 6; seed++ {
		p := made(t, small(t, seed, 2))
		for _, a := range p.Activities {
			for _, n := range a.Notes {
				if strings.Contains(n, "a batten carries the tile") {
					found++
					if a.Kind != "set" || !strings.Contains(n, "it comes off after ") {
						t.Errorf("%s: %s", a.ID, n)
					}
				}
			}
		}
		seen := map[string]bool{}
		for _, a := range p.Activities {
			for _, n := range a.Notes {
				if strings.Contains(n, "a batten carries the tile") && seen[a.Room+n] {
					t.Errorf("seed %d: said twice: %s", seed, n)
				}
				seen[a.Room+n] = true
			}
		}
	}
	if found == 0 {
		t.Error("no wall of the random rooms reaches over a door or window")
	}
}
