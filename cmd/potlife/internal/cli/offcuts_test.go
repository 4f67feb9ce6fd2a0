package cli

import (
	"slices"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/takeoff"
)

func TestOffcuts(t *testing.T) {
	clean(t)
	for _, c := range []struct {
		args []string
		code int
		out  string
		errs string
	}{
		{[]string{"offcuts"}, 0, "k1      mist  A48        300 mm × 120 mm  left, bottom  yard     Elm Row 3", ""},
		{[]string{"offcuts", "keep", "--key", "k7", "--tile", "mist", "--width", "300", "--height", "90", "--edges", "left,top"}, 0, "k7", ""},
		{[]string{"offcuts", "keep", "--tile", "mist", "--width", "300"}, 2, "", "--height are needed"},
		{[]string{"offcuts", "keep", "--tile", "mist", "--width", "300", "--height", "90", "--edges", "north"}, 1, "", `"north" is no side`},
		{[]string{"offcuts", "gone"}, 2, "", "expected what is marked"},
		{[]string{"offcuts", "gone", "k9"}, 1, "", `no offcut "k9"`},
	} {
		m := &memory{offcuts: []web.OffcutRow{
			{YardOffcut: takeoff.YardOffcut{Key: "k1", Tile: "mist", Lot: "A48", Width: 300 * rooms.Millimetre, Height: 120 * rooms.Millimetre, Left: true, Bottom: true, From: "Elm Row 3"}},
			{YardOffcut: takeoff.YardOffcut{Key: "k2", Tile: "mist", Width: 90 * rooms.Millimetre, Height: 20 * rooms.Millimetre, Place: "shelf 2"}},
			{YardOffcut: takeoff.YardOffcut{Key: "k0"}, Gone: true}}}
		out, errs, code := run(t, m, c.args...)
		if code != c.code || !strings.Contains(out, c.out) || !strings.Contains(errs, c.errs) || strings.Contains(out, "k0") {
			t.Errorf("%v: code %d\n%s%s", c.args, code, out, errs)
		}
	}
	m := &memory{offcuts: []web.OffcutRow{{YardOffcut: takeoff.YardOffcut{Key: "k1"}}}}
	if _, errs, code := run(t, m, "offcuts", "gone", "k1"); code != 0 || !m.offcuts[0].Gone {
		t.Error(code, errs)
	}
	if out, _, _ := run(t, m, "offcuts"); !strings.Contains(out, "No offcut is in hand.") {
		t.Error(out)
	}
}

func TestCloseJob(t *testing.T) {
	clean(t)
	m := &memory{}
	for _, c := range []struct {
		args []string
		said string
	}{
		{[]string{"close", "linden"}, "Job linden is put away: nothing of it is planned any more. \"potlife close linden --reopen\" takes it back.\n"},
		{[]string{"close", "linden", "--reopen"}, "Job linden is planned again.\n"},
	} {
		if out, errs, code := run(t, m, c.args...); code != 0 || out != c.said {
			t.Error(c.args, code, out, errs)
		}
	}
	if !slices.Equal(m.put, []string{"linden", "-linden"}) {
		t.Error(m.put)
	}
	if _, errs, code := run(t, m, "close"); code != 2 || !strings.Contains(errs, "key of one job") {
		t.Error(code, errs)
	}
}
