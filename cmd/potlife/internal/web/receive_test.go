package web

import (
	"fmt"
	"net/url"
	"strings"
	"testing"

	"potlife/rooms"
)

// The receive form takes wrong packages and the lot's mean size; what cannot be
// is refused by its field's name, keeps what was typed, and books nothing.
func TestReceivingWrongPackagesAndAMeanSize(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("2")
	if r := s.post("/orders/PO-kiln-1/place", url.Values{"key": {"k-1"}}); r.code != 303 {
		t.Fatalf("placing answers %d", r.code)
	}
	tile := s.desks.plan.Document.Index().Tiles["slate-30"]
	w, h := extent(tile.Shape)
	form := func(change ...string) url.Values {
		f := url.Values{"key": {"k-2"}, "date": {"2026-03-04"}, "product": {"slate-30", "flex"}, "lot": {"S-9", ""}, "calibre": {"6", ""}, "packages": {"4", "0"}, "damaged": {"1", ""}, "wrong": {"1", ""},
			"mean_width": {fmt.Sprintf("%g", float64(w)-1.5), ""}, "mean_height": {fmt.Sprintf("%g mm", float64(h)-1), ""}}
		for i := 0; i < len(change); i += 2 {
			f[change[i]][0] = change[i+1]
		}
		return f
	}
	for _, c := range []struct {
		change []string
		says   string
	}{
		{[]string{"wrong", "-1"}, "is not a number of packages"},
		{[]string{"wrong", "some"}, "is not a number of packages"},
		{[]string{"wrong", "4"}, "more is damaged and wrong (5) than came (4)"},
		{[]string{"mean_width", "wide"}, "the mean width &#34;wide&#34; is not a length"},
		{[]string{"mean_width", "-3"}, "the mean width &#34;-3&#34; is not a length"},
		{[]string{"mean_height", ""}, "the mean height is not; measure both"},
		{[]string{"mean_width", ""}, "the mean width is not; measure both"},
		{[]string{"mean_width", "29.8"}, "more than 10 % off"},
		{[]string{"lot", ""}, "name the lot"},
		{[]string{"wrong", "3"}, "nothing of it is kept"},
		{[]string{"packages", "0", "damaged", "0", "wrong", "0"}, "nothing of it is kept"},
		{[]string{"product", "flex"}, "only tile has a mean size"},
	} {
		r := s.post("/orders/PO-kiln-1/receive", form(c.change...))
		if r.code != 422 || !strings.Contains(r.body, c.says) || !strings.Contains(r.body, `name="mean_height" value="`) {
			t.Errorf("%q answers %d without %q", c.change, r.code, c.says)
		}
	}
	if len(s.desks.receipt) != 0 {
		t.Fatal("a refused delivery was booked")
	}
	if r := s.post("/orders/PO-kiln-1/receive", form()); r.code != 303 {
		t.Fatalf("receiving answers %d %s", r.code, r.body)
	}
	got := s.desks.receipt[0].Lines[0]
	want := ReceiveLine{Product: "slate-30", Lot: "S-9", Calibre: "6", Packages: 4, Damaged: 1, Wrong: 1,
		MeanWidth: rooms.Length(float64(w)*float64(rooms.Millimetre)) - 3*rooms.Millimetre/2, MeanHeight: rooms.Length(float64(h)*float64(rooms.Millimetre)) - rooms.Millimetre}
	if got != want {
		t.Errorf("booked %+v, want %+v", got, want)
	}
}
