package app

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
)

func TestReadingLiesOnItsEdge(t *testing.T) {
	f := &rooms.Surface{Key: "north", Layer: rooms.Board, Outline: rooms.Ring{{}, {X: 1200 * rooms.Millimetre}, {X: 1200 * rooms.Millimetre, Y: 800 * rooms.Millimetre}, {Y: 800 * rooms.Millimetre}}}
	for _, c := range []struct {
		name  string
		on    *rooms.Surface
		in    web.RecordIn
		field string
	}{
		{"in the middle", f, web.RecordIn{Edge: 0, EdgeAtMM: 600, DeviationMM: -3}, ""},
		{"at the very end", f, web.RecordIn{Edge: 3, EdgeAtMM: 800}, ""},
		{"past the end", f, web.RecordIn{Edge: 1, EdgeAtMM: 801}, "edge_at"},
		{"before the beginning", f, web.RecordIn{Edge: 1, EdgeAtMM: -1}, "edge_at"},
		{"no such edge", f, web.RecordIn{Edge: 4}, "edge"},
		{"a negative edge", f, web.RecordIn{Edge: -1}, "edge"},
		{"no such surface", nil, web.RecordIn{Surface: "j/r/west"}, "edge"},
	} {
		got, err := readingOn(c.on, c.in)
		var refused *web.Error
		switch {
		case c.field == "" && err != nil:
			t.Errorf("%s: %v", c.name, err)
		case c.field == "" && (got.Layer != rooms.Board || got.Deviation != rooms.Length(c.in.DeviationMM)*rooms.Millimetre):
			t.Errorf("%s: read as %+v", c.name, got)
		case c.field != "" && (!errors.As(err, &refused) || refused.Field != c.field):
			t.Errorf("%s: got %v, want a refusal of %s", c.name, err, c.field)
		}
	}
}

func TestDamagedPackagesAreNotThere(t *testing.T) {
	in := web.ReceiveIn{Key: "k", Note: "one pallet corner wet", By: web.User{Name: "Olive"}, Lines: []web.ReceiveLine{{Product: "flex", Packages: 3}, {Product: "slate", Lot: "S-9", Packages: 12, Damaged: 5}}}
	on := rooms.Date{Year: 2026, Month: 3, Day: 4}
	if r := receiptOf(in, 1, 4, on); r.Packages != 7 || r.Damaged != 5 || r.Line != 4 || r.Lot != "S-9" || r.Key != "k.1" || r.On != on || r.Who != "Olive" {
		t.Errorf("booked as %+v", r)
	}
	in.Lines[1].Wrong, in.Lines[1].MeanWidth, in.Lines[1].MeanHeight = 4, 299, 298
	if r := receiptOf(in, 1, 4, on); r.Packages != 3 || r.Damaged != 5 || r.Wrong != 4 || r.MeanWidth != 299 || r.MeanHeight != 298 {
		t.Errorf("with wrong ones and a mean size, booked as %+v", r)
	}
	if r := receiptOf(in, 0, 0, on); r.Packages != 3 || r.Damaged != 0 {
		t.Errorf("booked as %+v", r)
	}
}

// A report names people of its crew alone, in whatever case; it is kept and shown with
// them.
func TestWhoDidItIsKnown(t *testing.T) {
	doc := &plandoc.Document{Crews: []plandoc.Crew{{Key: "amber", People: []plandoc.Person{{Name: "Ida"}, {Name: "Tom", Helper: true}}}, {Key: "slate"}}}
	for _, c := range []struct {
		crew string
		by   []string
		says string
	}{
		{"amber", []string{"ida", "Tom"}, ""},
		{"slate", nil, ""},
		{"amber", []string{"Ida", "Jon"}, `nobody called "Jon"; its people are Ida, Tom`},
		{"slate", []string{"Ida"}, "have no names"},
	} {
		err := knownIn(doc, web.RecordIn{Kind: "hours", Crew: c.crew, DoneBy: c.by})
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s, %v: %v, want %q", c.crew, c.by, err, c.says)
		}
	}
	kept, err := Pages{}.storedAs(t.Context(), web.RecordIn{Key: "k", Kind: "hours", Crew: "amber", Date: "2026-03-04", MinutesWorked: 90, DoneBy: []string{"Ida"}})
	if back := recordRow(kept, time.UTC); err != nil || !slices.Equal(kept.DoneBy, []string{"Ida"}) || !slices.Equal(back.DoneBy, []string{"Ida"}) {
		t.Errorf("kept %v, shown %v: %v", kept.DoneBy, back.DoneBy, err)
	}
}
