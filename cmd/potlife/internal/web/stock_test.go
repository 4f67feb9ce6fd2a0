package web

import (
	"encoding/csv"
	"net/http"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc/plandoctest"
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
