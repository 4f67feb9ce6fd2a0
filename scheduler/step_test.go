package scheduler

import (
	"context"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// twoSurfaces is a room with a wall and a floor of large tile, done after a recipe
// of these steps.
func twoSurfaces(t *testing.T, steps ...Step) Input {
	in := oneFloor(t, false, 20)
	room := &in.Jobs[0].Sites[0].Rooms[0]
	room.Surfaces = append(room.Surfaces, rectangle("north", rooms.Wall, 2000*mm, 2400*mm, field("white", "straight")))
	if len(steps) > 0 {
		in.Firm.Recipes, room.Recipe = []Recipe{{Key: "own", Steps: steps}}, "own"
	}
	return in
}

func only(p *Plan, kind string) []Activity {
	return slices.DeleteFunc(slices.Clone(p.Activities), func(a Activity) bool { return a.Kind != kind })
}

// A step names its surfaces: it takes their time alone, its product is counted,
// ordered and waited for there, and what lies under tile dries first.
func TestStepOnItsSurfaces(t *testing.T) {
	mat := takeoff.Product{Key: "mat", Name: "Mat", Supplier: "far", Kind: takeoff.KindBoard, Unit: "m2", PackageSize: 1, Package: "roll", Price: 10_000,
		Sheet: takeoff.DataSheet{TileAfter: 2 * 24 * 60}}
	in := twoSurfaces(t, Step{Kind: "heating mat", MinutesPerM2: 10, Product: "mat", On: []string{"floor"}}, Step{Kind: kindSet}, Step{Kind: kindGrout}, Step{Kind: kindSeal})
	in.Firm.Catalogue.Products = append(in.Firm.Catalogue.Products, mat)
	in.Firm.Catalogue.Suppliers = append(in.Firm.Catalogue.Suppliers, takeoff.Supplier{Key: "far", Name: "Far", LeadDays: 15, Days: rooms.MondayToFriday()})
	in.Jobs[0].Sites[0].Rooms[0].Crew = "alder"
	p := made(t, in)
	mats := only(p, "heating mat")
	if len(mats) != 1 || !slices.Equal(mats[0].Surfaces, []string{"job/bath/floor"}) {
		t.Fatalf("%+v, want one on the floor alone", mats)
	}
	ready := NewClock(in.Today, in.Firm.Zone).DayStart(day("2026-04-07")) // 15 working days, less what they begin in
	if m := mats[0]; m.BaseMinutes < 28 || m.BaseMinutes > 32 || len(m.Products) != 1 || m.Products[0].Quantity < 2.9 || m.Products[0].Quantity > 3 || m.Start < ready-3*24*60 {
		t.Errorf("%.1f min from minute %d with %v; want 30 min for 3 m², the m² it takes, and not before it is delivered", m.BaseMinutes, m.Start, m.Products)
	}
	bought := 0.0
	for _, o := range p.Orders {
		for _, l := range o.Lines {
			if l.Product == "mat" {
				bought += l.Quantity
			}
		}
	}
	if bought < 3 {
		t.Errorf("%g rolls of 1 m² are ordered for 3 m²", bought)
	}
	for _, a := range only(p, kindSet) {
		if slices.Contains(a.Surfaces, "job/bath/floor") && a.Start-mats[0].Finish < 2*24*60 {
			t.Errorf("%s is set %d min after the mat, its sheet says 2 days", a.ID, a.Start-mats[0].Finish)
		}
	}
}

// Walls may be grouted before the floor is set where each grouting names its
// surfaces; the two stand under their own names.
func TestWallsGroutedFirst(t *testing.T) {
	walls, floors := []string{OnWalls}, []string{OnFloors}
	p := made(t, twoSurfaces(t, Step{Kind: setWalls}, Step{Kind: kindGrout, On: walls}, Step{Kind: setFloor}, Step{Kind: kindGrout, On: floors}, Step{Kind: kindSeal}))
	grouts, sets := only(p, kindGrout), only(p, kindSet)
	if len(grouts) != 2 || grouts[0].ID == grouts[1].ID {
		t.Fatalf("%d groutings", len(grouts))
	}
	wall := grouts[slices.IndexFunc(grouts, func(a Activity) bool { return a.Surfaces[0] == "job/bath/north" })]
	for _, a := range sets {
		if a.Surfaces[0] == "job/bath/floor" && a.Start < wall.Finish {
			t.Errorf("the floor is set at %d, the walls are grouted until %d", a.Start, wall.Finish)
		}
	}
}

// What a recipe asks for and cannot have is refused with the reason.
func TestStepsRefused(t *testing.T) {
	rest := []Step{{Kind: kindSet}, {Kind: kindGrout}, {Kind: kindSeal}}
	for _, c := range []struct {
		name  string
		steps []Step
		crew  string
		fit   int
		want  string
	}{
		{"more setters than any crew has", append([]Step{{Kind: "pour", Minutes: 20, Setters: 3, Helpers: 1}}, rest...), "", 0, `"pour" asks for 3 setters and 1 helper`},
		{"more helpers than the crew has", append([]Step{{Kind: "pour", Minutes: 20, Setters: 2, Helpers: 2}}, rest...), "birch", 0, "Birch has 2 setters and 1 helper"},
		{"more than fit in the room", append([]Step{{Kind: "pour", Minutes: 20, Setters: 2, Helpers: 1}}, rest...), "birch", 2, "2 fit in the room"},
		{"grouted on the floor before it is set", []Step{{Kind: setWalls}, {Kind: kindGrout}, {Kind: setFloor}, {Kind: kindSeal}}, "", 0, `"grout" before "set floor"`},
		{"floor never grouted", []Step{{Kind: kindSet}, {Kind: kindGrout, On: []string{OnWalls}}, {Kind: kindSeal}}, "", 0, `no step does "grout", and floor asks for it`},
		{"walls set twice", []Step{{Kind: setWalls}, {Kind: setFloor}, {Kind: setWalls}, {Kind: kindGrout}, {Kind: kindSeal}}, "", 0, "twice"},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := twoSurfaces(t, c.steps...)
			in.Jobs[0].Sites[0].Rooms[0].Crew, in.Jobs[0].Sites[0].Rooms[0].People = c.crew, c.fit
			if _, err := Make(context.Background(), in); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v, want %s", err, c.want)
			}
		})
	}
	in := twoSurfaces(t, append([]Step{{Kind: "pour", Minutes: 20, Setters: 2, Helpers: 1}}, rest...)...)
	in.Jobs[0].Sites[0].Rooms[0].People = 3
	p := made(t, in)
	if pour := only(p, "pour"); len(pour) != 1 || pour[0].Crew != "birch" || pour[0].Setters != 2 || pour[0].Helpers != 1 {
		t.Errorf("%+v, want two setters and a helper of the crew that has them", pour)
	}
}

// A tub is filled before its joint is sealed and stays full until the sealant has
// cured; the lines are set out before the first tile, and the ground is flattened
// under large tile where nothing levels it.
func TestBuiltInSteps(t *testing.T) {
	in := twoSurfaces(t)
	room := &in.Jobs[0].Sites[0].Rooms[0]
	room.Surfaces[1].Edges[0].Meets = rooms.AtTub
	p := made(t, in)
	once := func(kind string) Activity {
		got := only(p, kind)
		if len(got) != 1 {
			t.Fatalf("%d activities of kind %s", len(got), kind)
		}
		return got[0]
	}
	fill, seal, empty, over := once(kindFillTub), once(kindSeal), once(kindEmptyTub), once(kindHandOver)
	if fill.Finish > seal.Start || empty.Start-seal.Finish < 24*60 || over.Start < empty.Finish {
		t.Errorf("filled %d to %d, sealed %d to %d, emptied %d, handed over %d", fill.Start, fill.Finish, seal.Start, seal.Finish, empty.Start, over.Start)
	}
	flat, lines := once(kindFlatten), once(kindLayOut)
	if len(flat.Surfaces) != 2 || len(flat.Notes) == 0 || len(lines.Surfaces) != 2 {
		t.Errorf("flattened on %v (%v), laid out on %v", flat.Surfaces, flat.Notes, lines.Surfaces)
	}
	for _, a := range only(p, kindSet) {
		if a.Start < lines.Finish || a.Start-flat.Finish < 4*60 {
			t.Errorf("%s begins at %d: lines until %d, filled until %d", a.ID, a.Start, lines.Finish, flat.Finish)
		}
	}

	for i := range room.Surfaces {
		room.Surfaces[i].Prepare, room.Surfaces[i].LevellerDepth = []string{kindLevel}, 3*mm
		room.Surfaces[i].Edges[0].Meets = rooms.AtFloor
	}
	if p = made(t, in); len(only(p, kindFlatten))+len(only(p, kindFillTub))+len(only(p, kindEmptyTub)) > 0 {
		t.Error("a levelled room without a tub is flattened, or a tub filled in it")
	}
}

// The cure of a step holds for that step alone, though another has its kind.
func TestCureOfOneOfTwoSteps(t *testing.T) {
	walls, floors := []string{OnWalls}, []string{OnFloors}
	p := made(t, twoSurfaces(t, Step{Kind: kindSet}, Step{Kind: kindGrout, On: walls}, Step{Kind: kindGrout, On: floors, AfterMinutes: 9 * 24 * 60}, Step{Kind: kindSeal}))
	for _, a := range only(p, kindSeal) {
		for _, l := range a.After {
			for _, g := range only(p, kindGrout) {
				if nine := l.Least >= 9*24*60; l.Activity == g.ID && nine != (g.Surfaces[0] == "job/bath/floor") {
					t.Errorf("%s waits %d min after %s", a.ID, l.Least, g.ID)
				}
			}
		}
	}
}
