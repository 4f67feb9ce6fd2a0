package jobfile

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// Outlines drawn elsewhere can be pasted into a room.
func TestWriteOutlines(t *testing.T) {
	mm := func(n rooms.Length) rooms.Length { return n * rooms.Millimetre }
	drawn := []rooms.Surface{
		{Key: "Wall North", Outline: rooms.Ring{{X: mm(2400), Y: 0}, {X: mm(2400), Y: mm(2100)}, {X: 0, Y: mm(2100)}, {X: 0, Y: 0}},
			Openings: []rooms.Opening{{Key: "window 1", Outline: rooms.Rect(mm(600), mm(1000), mm(1500), mm(1900))}, {Key: "odd/name", Outline: rooms.Circle(rooms.Point{X: mm(300), Y: mm(300)}, mm(30), mm(1))}}},
		{Key: "shower floor", Outline: rooms.Ring{{X: 0, Y: 0}, {X: mm(900), Y: 0}, {X: 0, Y: mm(900)}}},
		{Key: "wall north", Outline: rooms.Rect(0, 0, mm(300), mm(300))},
	}
	for _, imperial := range []bool{false, true} {
		text := string(WriteOutlines(drawn, imperial))
		for _, want := range []string{"key: wall-north", "kind: wall", "key: window-1, kind: window", "key: odd-name", "kind: fixture", "kind: shower floor", "key: wall-north-2"} {
			if !strings.Contains(text, want) {
				t.Errorf("%q is missing in\n%s", want, text)
			}
		}
		job := "job:\n  key: a\n  name: b\n  start: 2026-12-07\n  set: {tile: t, mortar: m, grout: g, joint: 3}\n  sites:\n    - key: s\n      rooms:\n        - key: r\n" +
			"          " + strings.ReplaceAll(text, "\n", "\n          ") + "\n"
		f, problems := Parse("pasted.yaml", []byte(job))
		if len(problems) > 0 {
			t.Fatalf("%v\n%s", problems, job)
		}
		got := f.Jobs[0].Sites[0].Rooms[0].Surfaces
		if len(got) != 3 || len(got[0].Openings) != 2 || !equalRings(got[0].Outline, rooms.Rect(0, 0, mm(2400), mm(2100))) || len(got[1].Outline) != 3 {
			t.Errorf("read back: %+v", got)
		}
	}
}
