package jobfile

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// Outlines drawn elsewhere can be pasted into a room.
func TestWriteOutlines(t *testing.T) {
	mm := func(n rooms.Length) rooms.Length { return n * rooms.Millimetre }
	lines := func(r rooms.Ring) (out []rooms.Corner) {
		for _, p := range r {
			out = append(out, rooms.Corner{To: p})
		}
		return out
	}
	drawn := func(key, kind string, r rooms.Ring, openings ...rooms.Drawn) rooms.Drawn {
		return rooms.Drawn{Key: key, Kind: kind, Outline: r, Corners: lines(r), Openings: openings}
	}
	surfaces := []rooms.Drawn{
		drawn("Wall North", "", rooms.Ring{{X: mm(2400), Y: 0}, {X: mm(2400), Y: mm(2100)}, {X: 0, Y: mm(2100)}, {X: 0, Y: 0}},
			drawn("window 1", "window", rooms.Rect(mm(600), mm(1000), mm(1500), mm(1900))),
			rooms.Drawn{Key: "odd/name", Kind: "fixture", Diameter: mm(60), Centre: rooms.Point{X: mm(300), Y: mm(300)}}),
		drawn("shower floor", "", rooms.Ring{{X: 0, Y: 0}, {X: mm(900), Y: 0}, {X: 0, Y: mm(900)}}),
		drawn("wall north", "", rooms.Rect(0, 0, mm(300), mm(300))),
		{Key: "floor bay", Outline: rooms.Rect(0, 0, mm(9), mm(9)), Corners: []rooms.Corner{{To: rooms.Point{}}, {To: rooms.Point{X: mm(2400)}}, {To: rooms.Point{X: mm(2400), Y: mm(1500)}}, {To: rooms.Point{Y: mm(1500)}, Rise: mm(300)}}},
	}
	for _, imperial := range []bool{false, true} {
		text := string(WriteOutlines(surfaces, imperial))
		for _, want := range []string{"key: wall-north", "kind: wall", "key: window-1, kind: window", "key: odd-name", "kind: fixture", "kind: shower floor", "key: wall-north-2", "diameter: ", "rise: "} {
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
		if len(got) != 4 || len(got[0].Openings) != 2 || !equalRings(got[0].Outline, rooms.Rect(0, 0, mm(2400), mm(2100))) || len(got[1].Outline) != 3 {
			t.Errorf("read back: %+v", got)
		}
		if n := len(got[3].Outline); n < 10 || got[3].Outline.Box().Height() < mm(1799) {
			t.Errorf("the bay is read back with %d corners, %s high", n, got[3].Outline.Box().Height())
		}
	}
}
