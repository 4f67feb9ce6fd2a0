package web

import (
	"encoding/csv"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/plandoc/plandoctest"
	"potlife/rooms"
	"potlife/takeoff"
)

func TestStockPage(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("2")
	if r := s.get("/stock"); r.code != http.StatusOK || !strings.Contains(r.body, "nothing has been delivered") {
		t.Errorf("an empty yard: %d", r.code)
	}
	s.desks.stock = []StockRow{
		{Product: "slate-30", Lot: "S-9", Unit: "box", OnHand: 7, Reserved: 3, Damaged: 2},
		{Product: "slate-30", Lot: "S-8", Unit: "box", OnHand: 1, Reserved: 3},
		{Place: "orchard/home", Product: "flex", Unit: "package", OnHand: -2, Used: 5, Broken: 1},
		{Place: "orchard/home", Product: "<gone>", Unit: "package", OnHand: 1},
	}
	for _, units := range []string{"metric", "imperial"} {
		s.desks.plan.Document = plandoctest.Sample(units)
		body := unlabelled(s.get("/stock").body)
		area := map[string]string{"metric": " m²", "imperial": " ft²"}[units]
		for _, want := range []string{"<h2 id=\"h-place-0\">Yard</h2>", "<b>7</b></td><td class=\"n\">3</td><td class=\"n\">4</td>", "2 short of what is reserved", "2 more gone than was booked in", "&lt;gone&gt;", area} {
			if !strings.Contains(body, want) {
				t.Errorf("%s: the page lacks %q:\n%s", units, want, body)
			}
		}
	}
	table, err := csv.NewReader(strings.NewReader(s.get("/stock/stock.csv").body)).ReadAll()
	if err != nil || len(table) != 5 || strings.Join(table[1][3:11], " ") != "S-9 box 7 3 4 0 0 2" || table[1][0] != "yard" || table[3][5] != "-2" {
		t.Errorf("CSV: %v, %v", table, err)
	}
	for _, p := range []string{"/orders", "/board"} {
		if !strings.Contains(s.get(p).body, `href="/stock"`) {
			t.Errorf("%s has no link to the stock", p)
		}
	}
}

// Offcuts in hand stand on the page of stock with what is to be cut from them; one is
// recorded and booked out there and over the API.
func TestOffcutsInHand(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("2")
	if r := s.get("/stock"); !strings.Contains(r.body, "None is recorded.") || !strings.Contains(r.body, `action="/stock/offcuts"`) {
		t.Errorf("no offcuts: %d", r.code)
	}
	mm := rooms.Millimetre
	s.desks.offcuts = []OffcutRow{
		{YardOffcut: takeoff.YardOffcut{Key: "k1", Tile: "sand-60", Lot: "K12", Width: 120 * mm, Height: 400 * mm, Left: true, Top: true, From: "Elm <Row>"}, KeptBy: "Olga"},
		{YardOffcut: takeoff.YardOffcut{Key: "k2", Tile: "sand-60", Width: 90 * mm, Height: 90 * mm, Place: "shelf 2"}},
		{YardOffcut: takeoff.YardOffcut{Key: "k3", Tile: "slate-30", Lot: "S", Width: 90 * mm, Height: 90 * mm}, Gone: true, GoneBy: "Piet"},
	}
	for _, units := range []string{"metric", "imperial"} {
		d := plandoctest.Sample(units)
		d.Yard = []plandoc.KeptOffcut{{Key: "k1", Tile: "sand-60", Stock: &d.Stock[0].ID}}
		s.desks.plan.Document = d
		body := unlabelled(s.get("/stock").body)
		size := map[string]string{"metric": "120 × 400", "imperial": `4 11/16" × 15 11/16"`}[units]
		size = strings.ReplaceAll(size, `"`, "&#34;")
		for _, want := range []string{size, "left, top", "Elm &lt;Row&gt;", "not known", "shelf 2", "Used up or gone", "Piet"} {
			if !strings.Contains(body, want) {
				t.Errorf("%s: the page lacks %q:\n%s", units, want, body[strings.Index(body, "h-offcuts"):])
			}
		}
		if piece := d.Stock[0].Pieces[0].Piece; !strings.Contains(body, d.Index().Pieces[piece].Label+"</td>") {
			t.Errorf("%s: the page does not say what %s is cut for", units, "k1")
		}
	}
	form := url.Values{"tile": {"sand-60"}, "lot": {"K12"}, "width": {"120"}, "height": {"90"}, "edge": {"left", "top"}, "place": {"shelf"}}
	if r := s.post("/stock/offcuts", form); r.code != http.StatusSeeOther || len(s.desks.kept) != 1 || strings.Join(s.desks.kept[0].Edges, " ") != "left top" {
		t.Errorf("recorded: %d, %+v", r.code, s.desks.kept)
	}
	form.Set("width", "wide")
	if r := s.post("/stock/offcuts", form); r.code != http.StatusUnprocessableEntity || len(s.desks.kept) != 1 {
		t.Errorf("no width: %d", r.code)
	}
	if r := s.post("/stock/offcuts/gone", url.Values{"key": {"k1"}}); r.code != http.StatusSeeOther || strings.Join(s.desks.goneKeys, " ") != "k1" {
		t.Errorf("gone: %d, %v", r.code, s.desks.goneKeys)
	}
	if r := s.get("/api/v1/offcuts"); r.code != http.StatusOK || !strings.Contains(r.body, `"key":"k2"`) || !strings.Contains(r.body, `"width":120`) {
		t.Errorf("API: %d %s", r.code, r.body)
	}
}
