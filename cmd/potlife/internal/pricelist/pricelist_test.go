package pricelist

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potlife/rooms"
	"potlife/takeoff"
)

var (
	day = rooms.Date{Year: 2026, Month: 3, Day: 4}
	cat = takeoff.Catalogue{Currency: "EUR",
		Tiles:    []takeoff.Tile{{Key: "white", Name: "White, \"matt\"", PricePerBox: 251_500}},
		Products: []takeoff.Product{{Key: "mortar", Name: "Mortar", Package: "bag", Price: 180_050}}}
)

func TestRead(t *testing.T) {
	later := rooms.Date{Year: 2026, Month: 5, Day: 1}
	for _, c := range []struct {
		name, text string
		o          Options
		want       []Item
		problems   string // one a line
		err        string
	}{
		{"plain", "product,price\nwhite,26.1\nmortar,18\n", Options{From: day}, []Item{{2, "white", 261_000, day}, {3, "mortar", 180_000, day}}, "", ""},
		{"semicolons, decimal commas, thousands, mark of byte order", "\ufeffPRODUCT;Unit;price;currency;from\r\nwhite;box;1.026,15;eur;2026-05-01\r\n", Options{}, []Item{{2, "white", 10_261_500, later}}, "", ""},
		{"own columns, tabs", "Art\tEK\nwhite\t26,15\n", Options{From: day, Columns: map[string]string{"product": "art", "price": "ek"}}, []Item{{2, "white", 261_500, day}}, "", ""},
		{"apostrophes", "product,price\nwhite,1'026.15\n", Options{From: day}, []Item{{2, "white", 10_261_500, day}}, "", ""},
		{"two ways", "product;price\nwhite;1,250\n", Options{From: day}, nil, "", "can be read in two ways"},
		{"two ways, told", "product;price\nwhite;1,250\n", Options{From: day, Decimal: "comma"}, []Item{{2, "white", 12_500, day}}, "", ""},
		{"thousands told by their number", "product;price\nwhite;1,234,567\nmortar;1,250\n", Options{From: day}, []Item{{2, "white", 12_345_670_000, day}, {3, "mortar", 12_500_000, day}}, "", ""},
		{"both marks", "product;price\nwhite;1,5\nmortar;1.5\n", Options{From: day}, nil, "", "use one of them throughout"},
		{"negative", "product,price\nwhite,-26.10\nmortar,18\n", Options{From: day}, []Item{{3, "mortar", 180_000, day}}, `line 2, column price: "-26.10" is negative`, ""},
		{"unknown product and no price", "product,price\npink,\n", Options{From: day}, nil, "line 2, column product: there is no tile or product \"pink\"\nline 2, column price: no price is given", ""},
		{"unknown unit", "product,unit,price\nmortar,box,18\n", Options{From: day}, nil, "line 2, column unit: mortar is bought by the bag, not by the \"box\"", ""},
		{"another currency", "product,currency,price\nmortar,USD,18\n", Options{From: day}, nil, "line 2, column currency: the firm buys in EUR, not in \"USD\"", ""},
		{"no day", "product,price\nmortar,18\n", Options{}, nil, "line 2, column from: it says not from which day", ""},
		{"a day that is none", "product,price,from\nmortar,18,2026-02-30\n", Options{}, nil, "line 2, column from: \"2026-02-30\" is no day", ""},
		{"twice", "product,price\nmortar,18\nmortar,19\n", Options{From: day}, []Item{{2, "mortar", 180_000, day}}, "line 3, column product: mortar has a price from 2026-03-04 on line 2 already", ""},
		{"five decimals", "product,price\nmortar,18.00001\n", Options{From: day}, nil, "line 2, column price: \"18.00001\" has more than four decimals", ""},
		{"no number", "product,price\nmortar,1e3\nwhite,free\n", Options{From: day}, nil, "line 2, column price: \"1e3\" is no price\nline 3, column price: \"free\" is no price", ""},
		{"too many cells", "product,price\nmortar,18,5\n", Options{From: day}, nil, "line 2: it has 3 cells and the heading has 2", ""},
		{"no price column", "product,cost\nmortar,18\n", Options{From: day}, nil, "", `no column "price" among product, cost`},
		{"own column absent", "product,price\nmortar,18\n", Options{From: day, Columns: map[string]string{"unit": "VE"}}, nil, "", `no column "VE"`},
		{"no such column", "product,price\nmortar,18\n", Options{From: day, Columns: map[string]string{"colour": "price"}}, nil, "", `"colour" is no column`},
		{"empty", "product,price\n", Options{From: day}, nil, "", "no rows"},
		{"latin", "product,price\nm\xf6rtel,18\n", Options{From: day}, nil, "", "UTF-8"},
		{"open quote", "product,price\n\"mortar,18\n", Options{From: day}, nil, "", "quotes"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Read([]byte(c.text), cat, c.o)
			if c.err != "" {
				if err == nil || !strings.Contains(err.Error(), c.err) {
					t.Fatalf("error %v, want %q", err, c.err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(c.want, got.Items); d != "" {
				t.Errorf("items (-want +got):\n%s", d)
			}
			var said []string
			for _, p := range got.Problems {
				if p.Do == "" {
					t.Errorf("%s: says not what to do", p)
				}
				said = append(said, p.String())
			}
			want := strings.Split(c.problems, "\n")
			if c.problems == "" {
				want = nil
			}
			if len(said) != len(want) {
				t.Fatalf("problems %q, want %q", said, want)
			}
			for i := range want {
				if !strings.HasPrefix(said[i], want[i]) {
					t.Errorf("problem %q, want %q", said[i], want[i])
				}
			}
		})
	}
}

func TestTemplateReadsBack(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, cat, day); err != nil {
		t.Fatal(err)
	}
	got, err := Read(b.Bytes(), cat, Options{})
	if err != nil || len(got.Problems) > 0 {
		t.Fatalf("%v %v\n%s", err, got.Problems, b.String())
	}
	if d := cmp.Diff([]Item{{2, "white", 251_500, day}, {3, "mortar", 180_050, day}}, got.Items); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
}

func FuzzRead(f *testing.F) {
	f.Add("product;price\nwhite;1.026,15\n", "")
	f.Add("product,price\nwhite,-1\n\"", "comma")
	f.Fuzz(func(t *testing.T, text, mark string) {
		got, err := Read([]byte(text), cat, Options{From: day, Decimal: mark})
		if err != nil && len(got.Items) > 0 {
			t.Error("items and an error")
		}
		for _, it := range got.Items {
			if it.Price < 0 || it.Product != "white" && it.Product != "mortar" || it.From.IsZero() {
				t.Errorf("%q gives %+v", text, it)
			}
		}
	})
}
