package plandoc_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
)

// again copies a document through its JSON, as a reader would get it.
func again(t *testing.T, d *plandoc.Document) *plandoc.Document {
	t.Helper()
	text, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	var out plandoc.Document
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatal(err)
	}
	return &out
}

// later moves an instant.
func later(t *testing.T, s string, by time.Duration) string {
	t.Helper()
	at, err := time.Parse(time.RFC3339, s)
	if err != nil {
		t.Fatal(err)
	}
	return at.Add(by).Format(time.RFC3339)
}

// cutPiece is the first piece that has a printed size and is not measured on
// site.
func cutPiece(t *testing.T, d *plandoc.Document) *plandoc.Piece {
	t.Helper()
	for i := range d.Surfaces {
		for j := range d.Surfaces[i].Zones {
			ps := d.Surfaces[i].Zones[j].Pieces
			for k := range ps {
				if !ps[k].OnSite && len(ps[k].Cuts) > 0 && ps[k].Cuts[0].Size != nil {
					return &ps[k]
				}
			}
		}
	}
	t.Fatal("no piece is cut to size")
	return nil
}

// fault spoils a sound plan so that a group of rules is broken.
type fault struct {
	name, group string
	spoil       func(t *testing.T, d *plandoc.Document)
}

// field is the first zone.
func field(d *plandoc.Document) *plandoc.Zone { return &d.Surfaces[0].Zones[0] }

var faults = []fault{
	{"a piece on a stock tile that does not exist", "1 reference", func(t *testing.T, d *plandoc.Document) { field(d).Pieces[0].Stock = "nowhere" }},
	{"two pieces of one id", "1 reference", func(t *testing.T, d *plandoc.Document) { field(d).Pieces[1].ID = field(d).Pieces[0].ID }},
	{"a piece taken out", "2 geometry", func(t *testing.T, d *plandoc.Document) {
		p := cutFree(t, d)
		p.Outer = []plandoc.Point{p.Outer[0], p.Outer[1], p.Outer[2]} // half of it is gone
	}},
	{"a piece moved by 2 mm", "2 geometry", func(t *testing.T, d *plandoc.Document) {
		p := cutFree(t, d)
		for i := range p.Outer {
			p.Outer[i][0] += 2
		}
	}},
	{"a size over its limit", "3 cut", func(t *testing.T, d *plandoc.Document) {
		most := *cutPiece(t, d).Cuts[0].Most
		*cutPiece(t, d).Cuts[0].Size = most + 1
	}},
	{"a piece of stock that leaves its tile", "4 stock", func(t *testing.T, d *plandoc.Document) {
		for i := range d.Stock {
			if len(d.Stock[i].Pieces) > 0 {
				out := d.Stock[i].Pieces[0].Polygon.Outer
				for k := range out {
					out[k][1] += 50
				}
				return
			}
		}
	}},
	{"an area set in the order of a wall turned upside down", "5 order", func(t *testing.T, d *plandoc.Document) { turnOver(t, d) }},
	{"a mix goes on to work for more than it holds", "6 area", func(_ *testing.T, d *plandoc.Document) {
		m := &d.Mixes[0]
		m.Also = append(m.Also, plandoc.MixWork{Activity: m.Activity, Kg: m.Kg + 1})
	}},
	{"mortar past its pot life", "6 area", func(t *testing.T, d *plandoc.Document) {
		for i := range d.Mixes {
			if d.Mixes[i].PotMinutes != nil {
				s := later(t, d.Mixes[i].Start, time.Duration(*d.Mixes[i].PotMinutes+30)*time.Minute)
				d.Mixes[i].UseBy = &s
				return
			}
		}
	}},
	{"a patch that takes longer than its open time", "6 area", func(t *testing.T, d *plandoc.Document) { d.Areas[0].OpenMinutes = 0.5 }},
	{"work in the night", "7 time", func(t *testing.T, d *plandoc.Document) {
		for i := range d.Activities {
			if a := &d.Activities[i]; a.Crew != nil && len(a.Work) > 0 {
				a.Work[0][0], a.Work[0][1] = later(t, a.Work[0][0], -10*time.Hour), later(t, a.Work[0][1], -10*time.Hour)
				a.Start = a.Work[0][0]
				return
			}
		}
	}},
	{"a cure cut short", "7 time", func(t *testing.T, d *plandoc.Document) {
		for i := range d.Activities {
			for k := range d.Activities[i].After {
				d.Activities[i].After[k].LeastMinutes += 60 * 24 * 365
				return
			}
			if len(d.Activities[i].After) > 0 {
				return
			}
		}
	}},
	{"one tool in two places", "7 time", func(t *testing.T, d *plandoc.Document) {
		d.Tools = []plandoc.Tool{{Key: "mixer", Count: 0}}
		firstWork(t, d).Tools = []string{"mixer"}
	}},
	{"work by a crew without the skill", "7 time", func(t *testing.T, d *plandoc.Document) {
		firstWork(t, d).Skills = []string{"stone"}
		for i := range d.Crews {
			d.Crews[i].Skills = []string{"membrane"}
		}
	}},
	{"loud work in quiet hours", "7 time", func(t *testing.T, d *plandoc.Document) {
		firstWork(t, d).Noisy = true
		for i := range d.Sites {
			d.Sites[i].Noise = []plandoc.Span{{d.Finish, d.Finish}}
		}
	}},
	{"work on a closed site", "7 time", func(t *testing.T, d *plandoc.Document) {
		for i := range d.Sites {
			d.Sites[i].Open = []plandoc.Span{{d.Finish, d.Finish}}
		}
	}},
	{"a crew of which nobody is there", "7 time", func(t *testing.T, d *plandoc.Document) {
		for i := range d.Crews {
			for range d.Crews[i].Setters {
				d.Crews[i].Away = append(d.Crews[i].Away, plandoc.Absence{From: "2026-01-01", To: "2027-12-31"})
			}
		}
	}},
	{"a crew of which nobody is there, by name", "7 time", func(t *testing.T, d *plandoc.Document) {
		for i := range d.Crews { // said to be helpers, of whom the crew has none that are named
			k := &d.Crews[i]
			for n := range k.Setters {
				name := string(rune('A' + n))
				k.People = append(k.People, plandoc.Person{Name: name})
				k.Away = append(k.Away, plandoc.Absence{Who: name, Helper: true, From: "2026-01-01", To: "2027-12-31"})
			}
		}
	}},
	{"a stranger away", "7 time", func(t *testing.T, d *plandoc.Document) {
		k := &d.Crews[0]
		for n := range k.Setters {
			k.People = append(k.People, plandoc.Person{Name: string(rune('A' + n))})
		}
		k.Away = []plandoc.Absence{{Who: "Z", From: "2020-01-01", To: "2020-01-01"}}
	}},
	{"more setters than have names", "7 time", func(t *testing.T, d *plandoc.Document) {
		d.Crews[0].People = []plandoc.Person{{Name: "A"}, {Name: "B"}, {Name: "C"}, {Name: "D"}}
	}},
	{"tile on a screed that is not dry", "7 time", func(t *testing.T, d *plandoc.Document) {
		for i := range d.Surfaces {
			d.Surfaces[i].Base = &plandoc.Base{Kind: "cement screed", Ready: "2027-12-31"}
		}
	}},
	{"mortar in the frost", "7 time", func(t *testing.T, d *plandoc.Document) {
		least := 5.0
		for i := range d.Products {
			d.Products[i].MinCelsius = &least
		}
		for i := range d.Rooms {
			d.Rooms[i].Temperatures = []plandoc.Temperature{{From: "2026-01-01", To: "2027-12-31", Celsius: 2}}
		}
	}},
	{"a cut that no sheet lists", "8 sheet", func(t *testing.T, d *plandoc.Document) {
		for i := range d.Sheets {
			if n := len(d.Sheets[i].Cuts); n > 0 {
				d.Sheets[i].Cuts = d.Sheets[i].Cuts[:n-1]
				return
			}
		}
	}},
	{"a day listed twice", "8 sheet", func(t *testing.T, d *plandoc.Document) { d.Sheets = append(d.Sheets, d.Sheets[0]) }},
	{"a chain that does not add up", "9 order", func(t *testing.T, d *plandoc.Document) { d.Takeoff[0].Quantity++ }},
	{"an order a cent short", "9 order", func(t *testing.T, d *plandoc.Document) { d.Orders[0].Total += "1" }},
	{"goods used before they are there", "9 order", func(t *testing.T, d *plandoc.Document) {
		for i := range d.Orders {
			d.Orders[i].Ready = "2099-01-01"
		}
	}},
	{"a delivery on a Sunday", "9 order", func(t *testing.T, d *plandoc.Document) {
		for i := range d.Suppliers {
			d.Suppliers[i].Days = &plandoc.Days{Week: []int{1, 2, 3, 4, 5}}
		}
		at, err := time.Parse(time.DateOnly, d.Orders[0].Delivery)
		if err != nil {
			t.Fatal(err)
		}
		at = at.AddDate(0, 0, (7-int(at.Weekday()))%7)
		d.Orders[0].Delivery, d.Orders[0].Ready = at.Format(time.DateOnly), at.Format(time.DateOnly)
	}},
	{"a delivery while the firm is closed", "9 order", func(t *testing.T, d *plandoc.Document) {
		d.Days = &plandoc.Days{Week: []int{1, 2, 3, 4, 5, 6, 7}, Off: []string{d.Orders[0].Delivery}}
	}},
	{"a delivery sooner than the lead time", "9 order", func(t *testing.T, d *plandoc.Document) {
		for i := range d.Suppliers {
			d.Suppliers[i].LeadDays += 100
		}
	}},
	{"tile cut before it is there", "9 order", func(t *testing.T, d *plandoc.Document) { cutEarly(t, d) }},
	{"a bound after the finish", "10 finish", func(t *testing.T, d *plandoc.Document) { d.FinishBound = later(t, d.Finish, time.Hour) }},
}

// TestCheckNoticesFaults plants one fault at a time in a sound plan: the
// re-check must name the group of rules it breaks.
func TestCheckNoticesFaults(t *testing.T) {
	sound := randomDocument(t, 3)
	if found := plandoc.Check(again(t, sound)); len(found) > 0 {
		t.Fatalf("the sound plan breaks %v", found[0])
	}
	for _, f := range faults {
		t.Run(f.name, func(t *testing.T) {
			d := again(t, sound)
			f.spoil(t, d)
			var groups []string
			for _, b := range plandoc.Check(d) {
				if b.Group == f.group {
					return
				}
				groups = append(groups, b.Group)
			}
			t.Errorf("not noticed as %s; found %s", f.group, strings.Join(groups, ", "))
		})
	}
}

// cutEarly lists all cuts that are not out on sheets of their crews before any tile has
// come.
func cutEarly(t *testing.T, d *plandoc.Document) {
	t.Helper()
	moved := 0
	for i := range d.Sheets {
		if s := &d.Sheets[i]; s.Revision == 0 && len(s.Cuts) > 0 {
			d.Sheets = append(d.Sheets, plandoc.Sheet{Date: fmt.Sprintf("2020-01-%02d", moved%28+1), Crew: s.Crew, Cuts: s.Cuts})
			d.Sheets[i].Cuts = nil
			moved++
		}
	}
	if moved == 0 {
		t.Fatal("nothing is cut")
	}
	late := plandoc.Order{Key: "late", OrderBy: "2020-03-01", Delivery: "2020-03-01", Ready: "2020-03-01", Total: "0", Placed: true} // of what lies on hand
	for i := range d.OnHand {
		h := &d.OnHand[i]
		per := 1.0
		for _, x := range d.Tiles {
			if x.Key == h.Product && h.Unit == "tile" {
				per = float64(x.PerBox)
			}
		}
		late.Lines = append(late.Lines, plandoc.OrderLine{Product: &h.Product, Quantity: h.Quantity / per, UnitPrice: "0", Amount: "0", Ready: late.Ready})
	}
	d.OnHand, d.Orders = nil, append(d.Orders, late)
}

// A document written before it said on which days goods come is read, and is not held
// to them.
func TestDocumentsWithoutDaysAreRead(t *testing.T) {
	text, err := json.Marshal(randomDocument(t, 3))
	if err != nil {
		t.Fatal(err)
	}
	var rows map[string]any
	if err := json.Unmarshal(text, &rows); err != nil {
		t.Fatal(err)
	}
	delete(rows, "days")
	for list, fields := range map[string][]string{"suppliers": {"days", "lead_days", "unattended"}, "sites": {"days", "attended"}, "orders": {"placed"}} {
		for _, row := range rows[list].([]any) {
			for _, f := range fields {
				if _, ok := row.(map[string]any)[f]; !ok {
					t.Errorf("%s do not say %s", list, f)
				}
				delete(row.(map[string]any), f)
			}
		}
	}
	if text, err = json.Marshal(rows); err != nil {
		t.Fatal(err)
	}
	var old plandoc.Document
	if err := json.Unmarshal(text, &old); err != nil {
		t.Fatal(err)
	}
	old.Orders[0].Delivery = old.Orders[0].OrderBy // of what it does not say nothing is held
	if found := plandoc.Check(&old); len(found) > 0 {
		t.Errorf("it breaks %v", found[0])
	}
}

// firstWork is the first activity of a crew that is planned.
func firstWork(t *testing.T, d *plandoc.Document) *plandoc.Activity {
	t.Helper()
	for i := range d.Activities {
		if a := &d.Activities[i]; a.Crew != nil && a.State == "planned" {
			return a
		}
	}
	t.Fatal("nothing is planned")
	return nil
}

// cutFree is the polygon of the first whole piece.
func cutFree(t *testing.T, d *plandoc.Document) *plandoc.Polygon {
	t.Helper()
	for i := range d.Surfaces {
		for j := range d.Surfaces[i].Zones {
			ps := d.Surfaces[i].Zones[j].Pieces
			for k := range ps {
				if ps[k].Full {
					return &ps[k].Polygon
				}
			}
		}
	}
	t.Fatal("no whole piece")
	return nil
}

// turnOver sets the areas of a straight or offset wall from the top down.
func turnOver(t *testing.T, d *plandoc.Document) {
	t.Helper()
	for _, s := range d.Surfaces {
		if s.Lie != "vertical" || s.HoldMinutes != nil || len(s.Zones[0].Pieces) < 6 {
			continue
		}
		for i := range d.Areas {
			a := &d.Areas[i]
			if len(a.Surfaces) == 1 && a.Surfaces[0] == s.Key && len(a.Pieces) > 5 {
				for x, y := 0, len(a.Pieces)-1; x < y; x, y = x+1, y-1 {
					a.Pieces[x], a.Pieces[y] = a.Pieces[y], a.Pieces[x]
				}
				return
			}
		}
	}
	t.Fatal("no wall is set without a ledger")
}

func BenchmarkCheck(b *testing.B) {
	d := randomDocument(b, 3)
	b.ReportAllocs()
	for b.Loop() {
		if found := plandoc.Check(d); len(found) > 0 {
			b.Fatal(found[0])
		}
	}
}
