package takeoff

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// Two floors meet in a doorway: 10 + 7 mm of large tile against 8 + 4 of small,
// a step of 5 mm; levelled by as much, none.
func TestThresholds(t *testing.T) {
	small, large := box("small", 97*lmm, 97*lmm), box("large", 597*lmm, 597*lmm)
	large.Thickness = 10 * lmm
	tiles := map[string]Tile{"small": small, "large": large}
	floor := func(tile, shared string) rooms.Surface {
		return rooms.Surface{Key: "floor", Kind: rooms.Floor, Outline: rooms.Rect(0, 0, 900*lmm, 900*lmm), Zones: []rooms.Zone{{Key: "z", Tile: tile}},
			Edges: []rooms.Edge{{Meets: rooms.Doorway, Shared: shared}, {}, {}, {}}}
	}
	job := func() *rooms.Job {
		return &rooms.Job{Key: "j", Sites: []rooms.Site{{Rooms: []rooms.Room{
			{Key: "bath", Surfaces: []rooms.Surface{floor("large", "hall/floor#0")}}, {Key: "hall", Surfaces: []rooms.Surface{floor("small", "bath/floor#0")}}}}}}
	}
	got := Thresholds(job(), tiles, false)
	if len(got) != 1 || got[0].Value != 5 || got[0].Where != "j/bath/floor" || !strings.Contains(got[0].Message, "17 mm high and that of hall, floor 12 mm: a step of 5 mm") {
		t.Errorf("%+v", got)
	}
	if got := Thresholds(job(), tiles, true); len(got) != 1 || strings.Contains(got[0].Message, "mm") {
		t.Errorf("in inches: %+v", got)
	}
	level := job()
	hall := &level.Sites[0].Rooms[1].Surfaces[0]
	hall.Prepare, hall.LevellerDepth = []string{"level"}, 5*lmm
	if got := Thresholds(level, tiles, false); len(got) != 0 {
		t.Errorf("levelled: %+v", got)
	}
	// A room that shares with the next room's floor takes nothing off its own.
	in := RoomToLay{Job: "j", Room: job().Sites[0].Rooms[0], Tiles: tiles}
	if b := BuildUps(in); b[0].Deduct[0] != 0 {
		t.Errorf("%v is taken off at the threshold", b[0].Deduct)
	}
}

// TestExistingFloor: a floor of tile 10 thick on a bed of 7 stands 17 mm high; the
// corridor that is there already stands 22 over the same ground, a step of 5; at
// 18 the step of 1 is none to bridge.
func TestExistingFloor(t *testing.T) {
	large := box("large", 597*lmm, 597*lmm)
	large.Thickness = 10 * lmm
	for beyond, want := range map[rooms.Length]int{22 * lmm: 1, 18 * lmm: 0, 0: 0} {
		job := &rooms.Job{Key: "j", Sites: []rooms.Site{{Rooms: []rooms.Room{{Key: "bath", Surfaces: []rooms.Surface{{Key: "floor", Kind: rooms.Floor, Outline: rooms.Rect(0, 0, 900*lmm, 900*lmm),
			Edges: []rooms.Edge{{Meets: rooms.Doorway, Beyond: beyond}}, Zones: []rooms.Zone{{Tile: "large"}}}}}}}}}
		got := Thresholds(job, map[string]Tile{"large": large}, false)
		if len(got) != want || want == 1 && (got[0].Value != 5 || got[0].Where != "j/bath/floor" || !strings.Contains(got[0].Message, "bottom edge: from one ground the floor stands 17 mm high and the one there already 22 mm")) {
			t.Errorf("beyond %s: %+v", beyond, got)
		}
	}
}
