package plandoc

import "testing"

func TestPlacesNameEachRoomOnce(t *testing.T) {
	d := &Document{Rooms: []Room{{Key: "elm/bath", Name: "Bathroom"}, {Key: "elm/hall", Name: "Hall"}}, Products: []Product{{Key: "flex", Name: "Flex mortar"}},
		Surfaces: []Surface{{Key: "elm/bath/n", Name: "north wall"}, {Key: "elm/bath/s", Name: "south wall"}, {Key: "elm/hall/f", Name: "floor"}}}
	x := d.Index()
	for want, keys := range map[string][]string{
		"Bathroom, north wall":                {"elm/bath/n/field"},
		"Bathroom (north wall, south wall)":   {"elm/bath/n/field", "elm/bath/s/field", "elm/bath/n"},
		"Bathroom (north wall); Hall (floor)": {"elm/bath/n", "elm/hall/f/field"},
		"Hall":                                {"elm/hall"},
		"Flex mortar":                         {"flex"},
		"harbour-1":                           {"harbour-1"},
		"":                                    {""},
	} {
		if got := x.Places(keys); got != want {
			t.Errorf("%q: got %q, want %q", keys, got, want)
		}
	}
}
