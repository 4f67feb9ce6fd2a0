package scheduler

import (
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// laneRoom is a room of a wall with a valve and of a floor with a walking lane, both
// left out on purpose; the valve is fitted later.
func laneRoom(t *testing.T) Input {
	in := oneFloor(t, false, 20)
	in.Firm.Crews = in.Firm.Crews[:1]
	room := &in.Jobs[0].Sites[0].Rooms[0]
	wall := rectangle("north", rooms.Wall, 2400*mm, 1800*mm, field("white", "straight"))
	wall.Openings = []rooms.Opening{{Key: "tap", Kind: "valve", Outline: rooms.Rect(1180*mm, 880*mm, 1240*mm, 940*mm), Gap: 3 * mm, GapMin: 2 * mm, GapMax: 6 * mm, Fill: rooms.FillSealant}}
	wall.LeftOut = []rooms.LeftOut{{Opening: "tap", Why: "the plumber fits the valve", Until: day("2026-04-20")}}
	floor := rectangle("floor", rooms.Floor, 1800*mm, 2400*mm, field("grey", "straight"))
	floor.LeftOut = []rooms.LeftOut{{Region: rooms.Rect(0, 0, 500*mm, 2400*mm), Why: "walking lane to the window"}}
	room.Surfaces = []rooms.Surface{wall, floor}
	return in
}

// Pieces at an opening and in a lane are set after the field, with the reason on
// both sheets, the one until a day not before it; grout waits for them and nothing
// else does.
func TestLeftOutOnPurpose(t *testing.T) {
	in := laneRoom(t)
	p := made(t, in)
	clock := Clock{p.Epoch, in.Firm.Zone}
	pieces := indexPieces(p.Layouts)
	field, late := map[string]int{}, map[string]Area{} // the last of the field; what was left out
	for _, a := range p.Areas {
		why := pieces[a.Pieces[0]].Late
		for _, id := range a.Pieces {
			if pieces[id].Late != why {
				t.Errorf("%s sets %q with %q", a.ID, pieces[id].Late, why)
			}
		}
		if why == "" {
			field[a.Surfaces[0]] = max(field[a.Surfaces[0]], a.Finish)
		} else {
			late[why] = a
		}
	}
	valve, lane := late["the plumber fits the valve"], late["walking lane to the window"]
	if len(late) != 2 || len(valve.Pieces) == 0 || len(valve.Pieces) > 4 || len(lane.Pieces) == 0 {
		t.Fatalf("left out: %v", late)
	}
	for _, id := range lane.Pieces {
		if b := pieces[id].Polygon.Outer.Box(); b.Min.X > 500*mm {
			t.Errorf("%s lies beside the lane", id)
		}
	}
	if on := clock.Day(valve.Start); on.Before(day("2026-04-20")) {
		t.Errorf("what is left out until 20 April is set on %s", on)
	}
	if lane.Start < field["job/bath/floor"] || valve.Start < field["job/bath/north"] || field["job/bath/floor"] > clock.DayStart(day("2026-04-20")) {
		t.Error("what was left out is not set after the field, or holds it up")
	}
	for _, g := range only(p, kindGrout) {
		if g.Start < valve.Finish && slices.Contains(g.Surfaces, "job/bath/north") {
			t.Errorf("%s is grouted before the pieces at the valve are set", g.ID)
		}
	}
	notes := map[string]bool{}
	for _, a := range only(p, kindSet) {
		for _, n := range a.Notes {
			for _, w := range []string{"Leave out ", " on north: the plumber fits the valve.", " on floor: walking lane to the window.", "Left out until now: the plumber fits the valve.", "Left out until now: walking lane to the window."} {
				notes[w] = notes[w] || strings.Contains(n, w)
			}
		}
	}
	for w, said := range notes {
		if !said {
			t.Errorf("no sheet says %q", w)
		}
	}
	next, _ := frozenAfter(in, p, 3)
	is := replanned(t, next)
	again := 0
	for _, a := range is.Areas {
		if indexPieces(is.Layouts)[a.Pieces[0]].Late != "" {
			again++
		}
	}
	if again != len(late) {
		t.Errorf("%d areas of what was left out after a new plan, were %d", again, len(late))
	}
}

// Two places left out for one reason until different days are set on their own.
func TestLeftOutUntilItsOwnDay(t *testing.T) {
	in := laneRoom(t)
	wall := &in.Jobs[0].Sites[0].Rooms[0].Surfaces[0]
	wall.LeftOut = append(wall.LeftOut, rooms.LeftOut{Region: rooms.Rect(0, 0, 300*mm, 300*mm), Why: wall.LeftOut[0].Why, Until: day("2026-04-13")})
	p := made(t, in)
	clock, pieces := Clock{p.Epoch, in.Firm.Zone}, indexPieces(p.Layouts)
	seen := map[bool]int{}
	for _, a := range p.Areas {
		for _, id := range a.Pieces {
			if q := pieces[id]; q.Late == wall.LeftOut[0].Why {
				corner := q.Polygon.Outer.Box().Min.X < 300*mm
				seen[corner]++
				if on := clock.Day(a.Start); on.Before(day("2026-04-20")) != corner || on.Before(day("2026-04-13")) {
					t.Errorf("%s is set on %s", id, on)
				}
			}
		}
	}
	if seen[true] == 0 || seen[false] == 0 {
		t.Errorf("left out at the corner and at the valve: %v", seen)
	}
}
