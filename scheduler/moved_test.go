package scheduler

import (
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// The first area of a surface says to which lengths its profiles are cut.
func TestTrimLengthsAreSaid(t *testing.T) {
	f := &surfaceWork{key: "j/r/south", src: &rooms.Surface{Key: "south", Name: "south wall"}}
	r := &roomWork{key: "j/r", needs: map[string][]takeoff.Need{takeoff.KindTrim: {
		{Product: "edge", Kind: takeoff.KindTrim, Surface: "j/r/south", Net: 1.084}, {Product: "edge", Kind: takeoff.KindTrim, Surface: "j/r/north", Net: 9},
		{Product: "edge", Kind: takeoff.KindTrim, Surface: "j/r/south", Net: 0.6, Cut: 600 * mm}, {Product: "edge", Kind: takeoff.KindTrim, Surface: "j/r/south", Net: 0.6, Cut: 600 * mm},
		{Product: "edge", Kind: takeoff.KindTrim, Surface: "j/r/south", Net: 3.1, Whole: 1, Cut: 600 * mm, Measure: true}, {Product: "sill", Kind: takeoff.KindTrim, Surface: "j/r/south", Net: 0.9}}}}
	for units, want := range map[string]string{"metric": "Cut Edge 10 for south wall to 1084 mm, 600 mm (2 times), about 1 whole bar and 600 mm, measured first.|Cut sill for south wall to 900 mm.", "imperial": "Cut Edge 10 for south wall to "} {
		b := &builder{works: &works{firm: &Firm{Units: units}, products: map[string]takeoff.Product{"edge": {Key: "edge", Name: "Edge 10"}}}, r: r}
		got := strings.Join(b.trimLengths(f), "|")
		if !strings.HasPrefix(got, want) || units == "imperial" && strings.Contains(got, "mm") {
			t.Errorf("%s: %q", units, got)
		}
	}
}

// What leaves a crew's day is named with its new day and its reason; what comes
// sooner, is done, or is another crew's is not.
func TestMovedSaysWhatLeavesTheDay(t *testing.T) {
	in, p := twoCrews(t)
	s := sheetOn(t, p, "birch", 0)
	next := in
	next.Prior, next.Placed = p, p.Orders
	next.Jobs = withReady(next.Jobs, "birch", s.Date.AddDays(3))
	q := replanned(t, next)
	got := Moved(p, q, "birch", s.Date)
	if len(got) == 0 || !strings.Contains(got[0], "now on") || !strings.Contains(got[0], "because the room is ready on "+s.Date.AddDays(3).Words()) {
		t.Errorf("moved: %q", got)
	}
	if same := Moved(p, p, "birch", s.Date); len(same) > 0 {
		t.Errorf("nothing moved between a plan and itself: %q", same)
	}
	for _, line := range Moved(p, q, "alder", sheetOn(t, p, "alder", 0).Date) {
		t.Errorf("the other crew's day changed: %s", line)
	}
}
