package scheduler

import (
	"slices"
	"testing"

	"potlife/rooms"
)

// orderOf plans a job whose rooms are done in an order of work.
func orderOf(t *testing.T, seed uint64, order string) (*Plan, map[string]string) {
	t.Helper()
	in := small(t, seed, 2)
	for s := range in.Jobs[0].Sites {
		for k := range in.Jobs[0].Sites[s].Rooms {
			in.Jobs[0].Sites[s].Rooms[k].Order, in.Jobs[0].Sites[s].Rooms[k].Holds = order, nil
		}
	}
	p := made(t, in)
	return p, surfaceKinds(p)
}

// spanOf is when a room's areas on floors, or on walls under or over a ledger,
// are set; -1 where there are none.
func spanOf(p *Plan, kind map[string]string, room string, is func(a *Area, floor, low bool) bool) (from, to int) {
	from, to = -1, -1
	for i := range p.Areas {
		a := &p.Areas[i]
		if roomOfSurface(a.Surfaces[0]) != room {
			continue
		}
		floor := slices.ContainsFunc(a.Surfaces, func(k string) bool { return flat(kind[k]) })
		low := !floor && slices.ContainsFunc(p.Activities, func(x Activity) bool {
			return x.Kind == kindLedger && x.Room == room && slices.ContainsFunc(a.Surfaces, func(k string) bool { return slices.Contains(x.Surfaces, k) }) && x.Finish <= a.Start
		})
		if !is(a, floor, low) {
			continue
		}
		if from < 0 || a.Start < from {
			from = a.Start
		}
		to = max(to, a.Finish)
	}
	return from, to
}

func floors(_ *Area, floor, _ bool) bool       { return floor }
func upperWalls(_ *Area, floor, low bool) bool { return !floor && !low }
func lowWalls(_ *Area, floor, low bool) bool   { return !floor && low }

func TestWallsThenFloor(t *testing.T) {
	n := 0
	for seed := uint64(1); seed <= 4; seed++ {
		p, kind := orderOf(t, seed, WallsThenFloor)
		for _, d := range p.RoomDates {
			_, walls := spanOf(p, kind, d.Room, func(_ *Area, floor, _ bool) bool { return !floor })
			floor, _ := spanOf(p, kind, d.Room, floors)
			if n++; floor < walls {
				t.Errorf("seed %d, %s: the floor is begun at %d, walls are set until %d", seed, d.Room, floor, walls)
			}
		}
	}
	if n == 0 {
		t.Error("no room is planned")
	}
}

// The floor comes first, is protected when it may be walked on, and uncovered
// before it is grouted.
func TestFloorFirstAndProtected(t *testing.T) {
	n := 0
	for seed := uint64(1); seed <= 4; seed++ {
		p, kind := orderOf(t, seed, FloorThenWalls)
		for _, d := range p.RoomDates {
			walls, wallsEnd := spanOf(p, kind, d.Room, func(_ *Area, floor, _ bool) bool { return !floor })
			_, floor := spanOf(p, kind, d.Room, floors)
			grout := -1
			var cover, lift *Activity
			for i := range p.Activities {
				switch a := &p.Activities[i]; {
				case a.Room != d.Room:
				case a.Kind == kindProtect:
					cover = a
				case a.Kind == kindUncover:
					lift = a
				case a.Kind == kindGrout && (grout < 0 || a.Start < grout):
					grout = a.Start
				}
			}
			if cover == nil || lift == nil {
				t.Fatalf("seed %d, %s: the floor is not protected", seed, d.Room)
			}
			if n++; cover.Start < floor+24*60-15 || walls < cover.Finish || lift.Start < wallsEnd || grout < lift.Finish {
				t.Errorf("seed %d, %s: floor until %d, covered %d to %d, walls %d to %d, uncovered %d, grouted %d", seed, d.Room, floor, cover.Start, cover.Finish, walls, wallsEnd, lift.Start, grout)
			}
		}
	}
	if n == 0 {
		t.Error("no room is planned")
	}
}

// The walls are set from their second course on, then the floor, then the bottom
// course, cut to what is measured over it.
func TestBottomCourseOverTheFloor(t *testing.T) {
	n := 0
	for seed := uint64(1); seed <= 4; seed++ {
		p, kind := orderOf(t, seed, FloorBeforeLowWalls)
		for _, d := range p.RoomDates {
			_, upper := spanOf(p, kind, d.Room, upperWalls)
			floor, floorEnd := spanOf(p, kind, d.Room, floors)
			low, _ := spanOf(p, kind, d.Room, lowWalls)
			if low < 0 {
				continue
			}
			if n++; floor < upper || low < floorEnd {
				t.Errorf("seed %d, %s: walls until %d, floor %d to %d, bottom course from %d", seed, d.Room, upper, floor, floorEnd, low)
			}
			for i := range p.Areas {
				a := &p.Areas[i]
				if roomOfSurface(a.Surfaces[0]) != d.Room || a.Start < low || kind[a.Surfaces[0]] != rooms.Wall {
					continue
				}
				for _, id := range a.Pieces {
					if q := pieceOf(p, id); !q.OnSite && !q.Full {
						t.Errorf("%s of the bottom course is cut before the floor is in", id)
					}
				}
			}
		}
	}
	if n == 0 {
		t.Error("no bottom course is set over a floor: the test shows nothing")
	}
}

// Where the bottom course is of whole tiles the walls begin with the second just so: it
// is set on the floor when that holds.
func TestWholeBottomCourseOverTheFloor(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		in := small(t, seed, 1)
		room := &in.Jobs[0].Sites[0].Rooms[0]
		room.Order, room.Holds = FloorBeforeLowWalls, nil
		for i := range room.Surfaces {
			for z := range room.Surfaces[i].Zones {
				room.Surfaces[i].Zones[z].Datum.Up = rooms.FullLow
			}
		}
		p := made(t, in)
		kind, walls := surfaceKinds(p), 0
		_, floor := spanOf(p, kind, "job/"+room.Key, floors)
		for _, l := range p.Layouts {
			if kind[l.Surface] != rooms.Wall || len(l.Zones) != 1 || l.Zones[0].Zone.Turn != 0 {
				continue
			}
			walls++
			for _, q := range l.Zones[0].Pieces {
				a := &p.Areas[slices.IndexFunc(p.Areas, func(a Area) bool { return slices.Contains(a.Pieces, q.ID) })]
				if q.Course == 1 && a.Start < floor || q.Course > 1 && a.Start >= floor {
					t.Errorf("seed %d: %s of course %d of %s is set at %d, the floor until %d", seed, q.ID, q.Course, l.Surface, a.Start, floor)
				}
			}
		}
		if walls == 0 || floor < 0 {
			t.Errorf("seed %d: %d walls, the floor until %d: the test shows nothing", seed, walls, floor)
		}
	}
}
