package scheduler

import (
	"context"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// loudRoom is a room of three walls of hard tile, of which one meets something that
// nobody has measured yet; its site allows loud work from nine to ten.
func loudRoom(t *testing.T) Input {
	in := oneFloor(t, false, 20)
	in.Firm.Crews = in.Firm.Crews[:1]
	room := &in.Jobs[0].Sites[0].Rooms[0]
	room.Surfaces = nil
	for _, w := range []string{"north", "east", "south"} {
		s := rectangle(w, rooms.Wall, 2450*mm, 2250*mm, field("white", "straight"))
		s.Edges[1].Unmeasured = w == "east"
		room.Surfaces = append(room.Surfaces, s)
	}
	for i := range in.Firm.Catalogue.Tiles {
		in.Firm.Catalogue.Tiles[i].Material = "stone" // cut by wet saw alone
	}
	in.Jobs[0].Sites[0].Noise = []rooms.DayHours{}
	for d := 1; d <= 5; d++ {
		in.Jobs[0].Sites[0].Noise = append(in.Jobs[0].Sites[0].Noise, rooms.DayHours{Weekday: d, Start: 9 * 60, End: 10 * 60})
	}
	return in
}

// Only what is cut in place keeps to the hours for loud work and is sized for them;
// what is cut before goes on as if there were none, and its sheet says when.
func TestLoudAreasAlone(t *testing.T) {
	in := loudRoom(t)
	p := made(t, in)
	pieces := indexPieces(p.Layouts)
	loud, long := 0, 0
	for _, a := range p.Areas {
		saws := false
		for _, id := range a.Pieces {
			saws = saws || pieces[id].OnSite && pieces[id].Cuts[0].Tool == takeoff.WetSaw
		}
		act := &p.Activities[slices.IndexFunc(p.Activities, func(b Activity) bool { return b.ID == a.Activity })]
		switch took := act.Finish - act.Start; {
		case saws:
			loud++
			if !act.Noisy || took > 60 {
				t.Errorf("%s is cut in place, loud is %v, takes %d min", a.ID, act.Noisy, took)
			}
		case act.Noisy:
			t.Errorf("%s is held to the hours for loud work and nothing of it is cut in place", a.ID)
		case took > 60:
			long++
		}
	}
	if loud == 0 || long == 0 {
		t.Errorf("%d areas are loud, %d others are longer than those hours: the test shows nothing", loud, long)
	}
	said := 0
	for _, s := range p.Sheets {
		for _, c := range s.Cautions {
			if strings.Contains(c, "allows loud work from 09:00 to 10:00: make the listed cuts with saw, grinder and drill then") {
				said++
			}
		}
	}
	if said == 0 {
		t.Error("no sheet says when its cuts may be made")
	}
	if want := "allows loud work only from 09:00 to 10:00, which holds for: prepare the ground"; !slices.ContainsFunc(p.Sheets[0].Cautions, func(c string) bool { return strings.Contains(c, want) }) {
		t.Errorf("the first sheet does not say why its work waits until nine: %q", p.Sheets[0].Cautions)
	}
}

// Loud work that fits no hour is refused in words that name room, surface and site.
func TestLoudWorkIsRefusedInWords(t *testing.T) {
	for name, c := range map[string]struct {
		noise rooms.DayHours
		want  []string
	}{
		"no hour of the crew's": {rooms.DayHours{Weekday: 6, Start: 540, End: 600}, []string{`"prepare the ground" is loud, and Kiln Road allows loud work in none of the hours of Alder`}},
		"too short for a piece": {rooms.DayHours{Weekday: 2, Start: 540, End: 561}, []string{"Old bath, East wall: piece ", "and Kiln Road allows loud work for 21 min at a time"}},
	} {
		in := loudRoom(t)
		job := &in.Jobs[0]
		job.Sites[0].Name, job.Sites[0].Noise = "Kiln Road", []rooms.DayHours{c.noise}
		room := &job.Sites[0].Rooms[0]
		room.Name, room.Surfaces[1].Name = "Old bath", "East wall"
		_, err := Make(context.Background(), in)
		for _, w := range c.want {
			if err == nil || !strings.Contains(Said(err), w) || strings.Contains(Said(err), "job/") {
				t.Errorf("%s: got %v, want %q and no key", name, err, w)
			}
		}
	}
}

// Where a room waits for the hours in which its site allows loud work, the plan says
// so of the activities and of the room, though each waits no longer than a day; where
// it does not, nothing is said of them.
func TestLoudHoursHoldTheRoomUp(t *testing.T) {
	for name, c := range map[string]struct {
		from, to int
		want     bool
	}{"an hour a day": {9, 10, true}, "all day": {6, 18, false}} {
		in := loudRoom(t)
		site := &in.Jobs[0].Sites[0]
		site.Name = "Kiln Road"
		for i := range site.Noise {
			site.Noise[i].Start, site.Noise[i].End = c.from*60, c.to*60
		}
		room := &site.Rooms[0]
		room.Due = day("2026-03-17")
		for i := range room.Surfaces {
			room.Surfaces[i].Edges[1].Unmeasured = true
		}
		p := made(t, in)
		said := strings.Contains(p.RoomDates[0].Blocked, "Kiln Road allows loud work only from 09:00 to 10:00")
		noisy, because := 0, 0
		for _, a := range p.Activities {
			if a.Noisy && a.State == "planned" {
				noisy++
				if strings.Contains(a.Because, "Kiln Road allows loud work only from") {
					because++
				}
			}
		}
		if said != c.want || (because > 0) != c.want || noisy < 4 {
			t.Errorf("%s: the room: %q; %d of %d loud activities say so, wanted %v", name, p.RoomDates[0].Blocked, because, noisy, c.want)
		}
	}
}

// What is open when a task could begin and closes before it would be done is named
// too.
func TestTooShortLoudHoursAreNamed(t *testing.T) {
	w := &works{horizon: 3 * 1440, common: map[[2]string][]Interval{{"alder", "job/yard"}: {{480, 1020}, {1920, 2460}}}, windows: map[string]*window{}, open: map[string][]Interval{}}
	m := &maker{works: w}
	task := &task{crew: "alder", room: &roomWork{site: "job/yard"}, minutes: 60}
	w.close(task, &window{key: "noise", open: []Interval{{540, 600}, {1980, 2040}}, why: func(minute int) string { return "closed at " + words(minute) }})
	for _, c := range []struct {
		free, until int
		why         string
	}{
		{480, 540, "closed at 8 h"}, {540, 540, ""}, {570, 1980, "closed at 10 h"},
		{1020, 1980, "closed at 32 h"}, {1980, 1980, ""}, {1981, 0, ""},
	} {
		why, until := m.shutOut(task, c.free)
		if why != c.why || why != "" && until != c.until {
			t.Errorf("from %d: %q until %d, want %q until %d", c.free, why, until, c.why, c.until)
		}
	}
}
