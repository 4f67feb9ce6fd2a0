package scheduler

import (
	"math/rand/v2"
	"strings"
	"testing"

	"potlife/rooms"
)

// A crew that may do none of the rooms is told, with why: skills, hours, loud work. One
// that may do a single room, or that no room is left to, is not.
func TestCrewThatFitsNoRoom(t *testing.T) {
	base := func() Input {
		f := firm(zone(t, "Europe/Berlin"))
		j := job("job", 2, day("2026-03-20"), rand.New(rand.NewPCG(5, 7)))
		j.Sites = j.Sites[:1]
		j.Sites[0].Rooms = nil
		for _, k := range []string{"one", "two"} {
			wall := rectangle("wall", rooms.Wall, 2000*mm, 1500*mm, field("white", "straight"))
			wall.Wet, wall.Prepare = true, []string{"membrane"}
			j.Sites[0].Rooms = append(j.Sites[0].Rooms, rooms.Room{Key: k, Name: k, Celsius: 20, Surfaces: []rooms.Surface{wall}})
		}
		return Input{Firm: f, Jobs: []rooms.Job{j}, Today: day("2026-03-16")}
	}
	for name, c := range map[string]struct {
		change func(*Input)
		want   []string // parts of what is said of birch; none: nothing is
	}{
		"fits": {func(in *Input) {}, nil},
		"skill": {func(in *Input) { in.Firm.Crews[1].Skills = []string{"stone"} },
			[]string{`Birch can take no room: they ask for the skill "membrane", it has stone (2 rooms)`}},
		"one room fits": {func(in *Input) {
			in.Firm.Crews[1].Skills = []string{"large format"}
			in.Jobs[0].Sites[0].Rooms[1].Surfaces[0].Prepare, in.Jobs[0].Sites[0].Rooms[1].Surfaces[0].Wet = nil, false
		}, nil},
		"hours": {func(in *Input) { // of the site: alder's
			in.Jobs[0].Sites[0].Hours = []rooms.DayHours{{Weekday: 1, Start: 5 * 60, End: 8 * 60}, {Weekday: 2, Start: 5 * 60, End: 8 * 60}, {Weekday: 3, Start: 5 * 60, End: 8 * 60}}
			in.Firm.Crews[0].Hours = in.Jobs[0].Sites[0].Hours
		}, []string{"Birch can take no room: it never works in the hours of Yard Lane (2 rooms)"}},
		"loud": {func(in *Input) {
			in.Jobs[0].Sites[0].Noise = []rooms.DayHours{{Weekday: 1, Start: 7 * 60, End: 8 * 60}}
			for i := range in.Jobs[0].Sites[0].Rooms {
				in.Jobs[0].Sites[0].Rooms[i].Surfaces[0].Prepare = []string{"prepare", "membrane"}
			}
		}, []string{"Birch can take no room: Yard Lane allows loud work in none of its hours (2 rooms)"}},
		"others are named": {func(in *Input) {
			for i := range in.Jobs[0].Sites[0].Rooms {
				in.Jobs[0].Sites[0].Rooms[i].Crew = "alder"
			}
		}, nil},
	} {
		in := base()
		c.change(&in)
		p := made(t, in)
		said := ""
		for _, f := range p.Findings {
			if f.Rule == "crew" && f.Where == "birch" {
				said += f.Message
			}
		}
		if (said == "") != (c.want == nil) {
			t.Errorf("%s: said %q", name, said)
		}
		for _, w := range c.want {
			if !strings.Contains(said, w) {
				t.Errorf("%s: said %q, want %q", name, said, w)
			}
		}
	}
}

func TestFirstFewReasons(t *testing.T) {
	for n, want := range map[int]string{0: "", 2: "a; b", 5: "a; b; c; d; e", 6: "a; b; c; d; and 2 more reasons"} {
		all := []string{"a", "b", "c", "d", "e", "f"}
		if got := firstFew(all[:n]); got != want || all[4] != "e" {
			t.Errorf("%d reasons: %q, want %q; left with %v", n, got, want, all)
		}
	}
}
