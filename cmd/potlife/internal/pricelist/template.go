package pricelist

import (
	"encoding/csv"
	"io"

	"github.com/shopspring/decimal"

	"potlife/rooms"
	"potlife/takeoff"
)

// Write writes a list of all that can be bought at its price, to be changed and
// taken over again.
func Write(w io.Writer, cat takeoff.Catalogue, from rooms.Date) error {
	c := csv.NewWriter(w)
	rows := [][]string{{"product", "name", "unit", "price", "currency", "from"}}
	units := unitsOf(cat)
	add := func(key, name string, price takeoff.Money) {
		d := decimal.New(int64(price), -4)
		text := d.String()
		if d.Equal(d.Truncate(2)) {
			text = d.StringFixed(2)
		}
		rows = append(rows, []string{key, name, units[key], text, cat.Currency, from.String()})
	}
	for _, t := range cat.Tiles {
		add(t.Key, t.Name, t.PricePerBox)
	}
	for _, p := range cat.Products {
		add(p.Key, p.Name, p.Price)
	}
	return c.WriteAll(rows)
}
