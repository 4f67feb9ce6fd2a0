package scheduler

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// longWall is one room with nothing but a wet wall, or several with a part each.
func longWall(t *testing.T, metres, parts int, hours int) Input {
	in := small(t, 3, 1)
	for i := range in.Firm.Catalogue.Products {
		if p := &in.Firm.Catalogue.Products[i]; p.Key == "skin" {
			p.Sheet.CoverWithin = hours * 60
		}
	}
	site := in.Jobs[0].Sites[0]
	if len(site.Rooms) == 0 {
		site = in.Jobs[0].Sites[1]
	}
	room := site.Rooms[0]
	room.Holds, room.Celsius, room.Due = nil, 20, rooms.Date{}
	zone := room.Surfaces[0].Zones[0]
	site.Rooms = nil
	for k := range parts {
		w := rooms.Surface{Key: "long", Name: "long wall", Kind: rooms.Wall, Wet: true, Prepare: []string{"membrane"}, Measured: true, Layer: rooms.Membrane,
			Outline: rooms.Rect(0, 0, rooms.Length(metres)*1000*mm/rooms.Length(parts), 2400*mm), Edges: make([]rooms.Edge, 4), Zones: []rooms.Zone{zone}}
		room.Key, room.Name, room.Surfaces = "hall"+string(rune('1'+k)), "Hall", []rooms.Surface{w}
		site.Rooms = append(site.Rooms, room)
	}
	in.Jobs[0].Sites = []rooms.Site{site}
	return in
}

// smallRoom is the first room with a wall that is covered in no time.
func smallRoom(in Input) rooms.Room {
	r := in.Jobs[0].Sites[0].Rooms[0]
	r.Key, r.Surfaces = "small", slices.Clone(r.Surfaces)
	r.Surfaces[0].Wet, r.Surfaces[0].Prepare, r.Surfaces[0].Outline = true, []string{"membrane"}, rooms.Rect(0, 0, 1000*mm, 500*mm)
	return r
}

// A room is told early exactly where a plan would fail, and what it is told to do
// helps.
func TestLongCoversAreToldEarly(t *testing.T) {
	for _, c := range []struct {
		name                 string
		metres, parts, hours int
		fails                bool
	}{
		{"a wall that is set in a day", 1, 1, 48, false},
		{"one that takes longer", 6, 1, 48, true},
		{"the same in two weeks", 6, 1, 14 * 24, false},
		{"as rooms of its own", 6, 6, 48, false},
	} {
		in := longWall(t, c.metres, c.parts, c.hours)
		in.Jobs[0].Sites = append(in.Jobs[0].Sites, rooms.Site{Key: "other", Name: "Other", Rooms: []rooms.Room{smallRoom(in)}})
		list, err := LongCovers(t.Context(), in)
		if err != nil {
			t.Fatal(err)
		}
		_, err = Make(t.Context(), in)
		var not *Infeasible
		if fails := errors.As(err, &not); fails != c.fails || len(list) > 0 != c.fails || err != nil && !fails {
			t.Errorf("%s: told of %v, and the plan says %v", c.name, list, err)
		}
		for _, u := range list {
			for _, s := range []string{" is to be covered within ", "setting long wall takes", "of work", "rooms that are coated and set one after the other", "a crew with more setters"} {
				if !strings.Contains(u.Text, s) {
					t.Errorf("%s: %q is not in %q", c.name, s, u.Text)
				}
			}
			if u.Job != "job" || u.Room != "hall1" {
				t.Errorf("%s: told of %s/%s", c.name, u.Job, u.Room)
			}
		}
	}
}

// What one coat covers counts together, and of an area that turns a corner only what
// lies on the coat.
func TestWhatACoatWaitsForIsAddedUp(t *testing.T) {
	day := 8 * 60
	f := &Firm{Crews: []Crew{{Key: "alder", Name: "Alder"}}}
	w := &works{firm: f, called: called(f, nil), horizon: 20 * 1440, hours: map[string][]Interval{}, products: map[string]takeoff.Product{}}
	for d := range 20 {
		w.hours["alder"] = append(w.hours["alder"], Interval{d*1440 + day, d*1440 + 2*day})
	}
	r := &roomWork{key: "job/hall"}
	for _, k := range []string{"north", "east", "south"} {
		r.surfaces = append(r.surfaces, &surfaceWork{key: k, src: &rooms.Surface{Key: k}})
	}
	items := func(on map[string]float64) *areaPlan {
		a := &areaPlan{}
		for _, k := range []string{"north", "east", "south"} {
			if on[k] > 0 {
				a.items = append(a.items, &item{surface: k, set: on[k]})
			}
		}
		return a
	}
	for _, c := range []struct {
		name  string
		coat  []string
		areas []map[string]float64
		days  int
		want  string
	}{
		{"one wall that is too long", []string{"north"}, []map[string]float64{{"north": 300}, {"north": 300}, {"north": 300}}, 1, "setting north takes Alder 15 h of work"},
		{"two that are too long together", []string{"north", "east"}, []map[string]float64{{"north": 300}, {"east": 300}, {"east": 300}}, 1, "setting north and east takes Alder 15 h of work"},
		{"the last one need only begin", []string{"north"}, []map[string]float64{{"north": 480}, {"north": 480}}, 1, ""},
		{"most of it lies beside the coat", []string{"north"}, []map[string]float64{{"north": 30, "south": 300}, {"north": 30, "south": 300}, {"north": 30, "south": 300}}, 1, ""},
		{"two days are enough", []string{"north"}, []map[string]float64{{"north": 300}, {"north": 300}, {"north": 300}}, 3, ""},
	} {
		coat := &task{kind: kindMembrane, room: r, surfaces: c.coat, title: "membrane"}
		n := &network{works: w, tasks: []*task{coat}}
		for _, on := range c.areas {
			a := items(on)
			minutes := 0.0
			for _, it := range a.items {
				minutes += it.set
			}
			n.tasks = append(n.tasks, &task{kind: kindSet, room: r, crew: "alder", area: a, minutes: int(minutes),
				after: []lag{{task: coat, least: 0, most: c.days * 1440}}})
		}
		got := n.longCover([]string{"job/hall"})
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
