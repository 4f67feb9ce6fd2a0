package scheduler

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// A membrane that may lie open for two days waits for the tile that covers it, though its
// crew has nothing else to do: that is said, with the tile's day, and no other work is
// blamed. Where other work fills the time, that is said.
func TestMembraneWaitsForItsTile(t *testing.T) {
	in := oneFloor(t, true, 20)
	in.Firm.Crews = in.Firm.Crews[:1]
	far := in.Firm.Catalogue.Suppliers[0]
	far.Key, far.LeadDays = "far", 12
	in.Firm.Catalogue.Suppliers = append(in.Firm.Catalogue.Suppliers, far)
	for i := range in.Firm.Catalogue.Tiles {
		in.Firm.Catalogue.Tiles[i].Supplier = far.Key
	}
	room := &in.Jobs[0].Sites[0].Rooms[0]
	room.Surfaces[0].Prepare = []string{kindMembrane}
	for i := range in.Firm.Catalogue.Products {
		in.Firm.Catalogue.Products[i].Sheet.CoverWithin = 2 * 1440
	}
	p := made(t, in)
	want := "is to follow within 48 h of membrane, coat 2 of 2; grey can be used from Sat 4 Apr"
	if got := p.RoomDates[0].Blocked; !strings.HasPrefix(got, "membrane, coat 1 of 2 waits until ") || !strings.Contains(got, want) {
		t.Errorf("the room waits: %q, want the membrane's first coat, which %q", got, want)
	}
	said := 0
	for _, a := range p.Activities {
		if strings.Contains(a.Because, "other work") {
			t.Errorf("%s: %s, and there is none", a.ID, a.Because)
		}
		if a.Kind == kindMembrane && strings.Contains(a.Because, want) {
			said++
		}
	}
	if said == 0 {
		t.Error("no coat says what it waits for")
	}

	busy := in
	other := rooms.Room{Key: "hall", Name: "hall", Celsius: 20, Surfaces: []rooms.Surface{rectangle("floor", rooms.Floor, 2000*mm, 1500*mm, field("grey", "straight"))}}
	busy.Jobs[0].Sites[0].Rooms = append(busy.Jobs[0].Sites[0].Rooms, other)
	others := 0
	for _, a := range made(t, busy).Activities {
		if strings.HasPrefix(a.Because, "other work of ") {
			others++
		}
	}
	if others == 0 {
		t.Error("with a second room no work comes before another")
	}
}
