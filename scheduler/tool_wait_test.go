package scheduler

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// Two crews with one mixer: whoever waits for it is told so, and with whom it is;
// with one each nobody is.
func TestSharedToolIsNamed(t *testing.T) {
	for _, count := range []int{1, 2} {
		in := small(t, 3, 1)
		in.Firm.Crews[0].Setters, in.Firm.Crews[1].Setters = 1, 1
		in.Firm.Tools = []Tool{{Key: ToolMixer, Count: count}}
		site := &in.Jobs[0].Sites[0]
		in.Jobs[0].Sites = in.Jobs[0].Sites[:1]
		site.Rooms = nil
		for _, k := range []string{"alder", "birch"} {
			wall := rectangle("wall", rooms.Wall, 3000*mm, 2100*mm, field("white", "straight"))
			site.Rooms = append(site.Rooms, rooms.Room{Key: "of-" + k, Name: "of " + k, Crew: k, Celsius: 20, Surfaces: []rooms.Surface{wall}})
		}
		p := made(t, in)
		said := 0
		for _, a := range p.Activities {
			if strings.HasPrefix(a.Because, "the mixer is with ") {
				said++
				other := map[string]string{"alder": "Birch", "birch": "Alder"}[a.Crew]
				if !strings.HasPrefix(a.Because, "the mixer is with "+other+", for set wall") {
					t.Errorf("%s of %s: %s", a.ID, a.Crew, a.Because)
				}
			}
		}
		if (said > 0) != (count == 1) {
			t.Errorf("%d mixers: %d activities wait for one", count, said)
		}
	}
}
