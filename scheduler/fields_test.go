package scheduler

import (
	"math"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// hall is a room whose grout takes more than a field: four walls, and a floor that
// alone is too large for one.
func hall(t *testing.T) Input {
	in := oneFloor(t, false, 20)
	in.Firm.Crews = in.Firm.Crews[:1]
	in.Firm.Rates.GroutPerM2, in.Firm.Rates.GroutPerM = 20, 0.001
	room := &in.Jobs[0].Sites[0].Rooms[0]
	room.Surfaces = []rooms.Surface{rectangle("floor", rooms.Floor, 3600*mm, 3000*mm, field("grey", "straight"))}
	for _, w := range []string{"north", "east", "south"} {
		room.Surfaces = append(room.Surfaces, rectangle(w, rooms.Wall, 2400*mm, 1800*mm, field("white", "straight")))
	}
	for i := range room.Surfaces {
		s := &room.Surfaces[i]
		s.Wet, s.Prepare = true, []string{"membrane"}
	}
	in.Firm.Rates.MembranePerM2 = 20
	return in
}

// netOf is what the takeoff counted of a product on a surface.
func netOf(p *Plan, list []Activity, product string) (kg float64) {
	for _, a := range list {
		for _, u := range a.Products {
			if u.Product == product {
				kg += u.Quantity
			}
		}
	}
	return kg
}

// What is grouted without a stop names its own surfaces and takes their grout alone;
// a stop lies at a corner, and within a surface only where that is too large.
func TestGroutFields(t *testing.T) {
	in := hall(t)
	p := made(t, in)
	stops := false
	for _, kind := range []string{kindGrout, kindMembrane} {
		list := only(p, kind)
		coats := 1.0
		if kind == kindMembrane {
			coats = 2
		}
		sum := map[string]float64{}
		for _, a := range list {
			if a.Finish-a.Start > 180 {
				t.Errorf("%s takes %d min without a stop", a.ID, a.Finish-a.Start)
			}
			for _, k := range a.Surfaces {
				sum[k] += sharesOf([]*Activity{&a}, k)
			}
			if notes := strings.Join(a.Notes, " "); kind == kindMembrane && slices.Equal(a.Surfaces, []string{"job/bath/floor"}) {
				stops = stops || strings.Contains(notes, "Stop on floor at a straight line.")
				if strings.Contains(notes, "joint") {
					t.Errorf("%s: %s There is no joint yet", a.ID, notes)
				}
			}
			if len(a.Surfaces) == 4 {
				t.Errorf("%s names all surfaces of the room: %s", a.ID, a.Title)
			}
			for _, w := range []string{"north", "east", "south"} {
				if slices.Contains(a.Surfaces, "job/bath/"+w) && sharesOf([]*Activity{&a}, "job/bath/"+w) != 1 {
					t.Errorf("%s stops on %s, which fits whole: %v", a.ID, w, a.Shares)
				}
			}
		}
		if len(list) < 3 || len(sum) != 4 {
			t.Fatalf("%s: %d fields on %d surfaces", kind, len(list), len(sum))
		}
		for k, v := range sum {
			if math.Abs(v-coats) > 0.01 {
				t.Errorf("%s of %s is done %.3f times, want %g", kind, k, v, coats)
			}
		}
	}
	if !stops {
		t.Error("no coat says where to stop on the floor")
	}
	grout, floor := only(p, kindGrout), 0.0
	for _, a := range grout {
		if slices.Equal(a.Surfaces, []string{"job/bath/floor"}) {
			floor += netOf(p, []Activity{a}, "joint")
			if len(a.Shares) != 1 || !strings.Contains(a.Title, "floor (in part)") {
				t.Errorf("%s: %q, %v: want a part of the floor", a.ID, a.Title, a.Shares)
			}
		}
	}
	// Tiles of 300 × 600 mm take half as much more joint a m² than those of 600 × 600.
	if all := netOf(p, grout, "joint"); floor < all*0.35 || floor > all*0.55 {
		t.Errorf("%.2f of %.2f kg go to the floor", floor, all)
	}
	if !slices.ContainsFunc(grout, func(a Activity) bool {
		return strings.Contains(strings.Join(a.Notes, " "), "Stop on floor at a whole course.")
	}) {
		t.Error("no field says where to stop on the floor")
	}
}

// What is grouted already stays, and what is left keeps its own fields.
func TestGroutFieldsGoOn(t *testing.T) {
	in := hall(t)
	p := made(t, in)
	was := only(p, kindGrout)
	slices.SortFunc(was, func(a, b Activity) int { return a.Start - b.Start })
	clock := Clock{p.Epoch, in.Firm.Zone}
	next := in
	next.Prior, next.Placed, next.Today = p, p.Orders, clock.Day(was[0].Start)
	next.Frozen = allUntil(in.Firm, clock.At(was[0].Finish))
	is := only(replanned(t, next), kindGrout)
	if len(is) != len(was) || math.Abs(netOf(p, is, "joint")-netOf(p, was, "joint")) > 0.01 {
		t.Fatalf("%d fields with %.2f kg, were %d with %.2f", len(is), netOf(p, is, "joint"), len(was), netOf(p, was, "joint"))
	}
	for _, a := range was {
		if !slices.ContainsFunc(is, func(b Activity) bool { return a.ID == b.ID && a.Title == b.Title && slices.Equal(a.Shares, b.Shares) }) {
			t.Errorf("%s, %q %v, is not among %+v", a.ID, a.Title, a.Shares, is)
		}
	}
}

// A plan of before, whose parts were of all surfaces alike, goes on with what is
// left of each.
func TestSharesOfOldParts(t *testing.T) {
	got := doneShares([]*Activity{
		{ID: "j/r/grout.1", Title: "grout, part 1 of 3", Surfaces: []string{"a", "b"}},
		{ID: "j/r/grout.2", Title: "grout: b (in part)", Surfaces: []string{"b"}, Shares: []SurfaceShare{{"b", 0.25}}},
		{ID: "j/r/grout.3", Title: "grout: c", Surfaces: []string{"c"}},
	})
	for k, want := range map[string]float64{"a": 1. / 3, "b": 1./3 + 0.25, "c": 1} {
		if math.Abs(got[k]-want) > 1e-9 {
			t.Errorf("%s: %g, want %g", k, got[k], want)
		}
	}
	b := builder{r: &roomWork{surfaces: []*surfaceWork{{key: "a"}, {key: "b"}, {key: "c"}}}}
	rows := []block{{surface: "a", minutes: 30}, {surface: "a", minutes: 30}, {surface: "b", minutes: 60}, {surface: "c", minutes: 50}}
	left := 0.0
	for _, f := range b.divide(rows, got, 25, "a whole joint") {
		left += f.minutes
		if f.share["c"] > 0 {
			t.Error("what is done is done again")
		}
	}
	if want := 60*2./3 + 60*(2./3-0.25); math.Abs(left-want) > 0.1 {
		t.Errorf("%.1f min are left, want %.1f", left, want)
	}
}
