package sheet

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"

	"github.com/shopspring/decimal"

	"potlife/cmd/potlife/internal/plandoc"
)

// Purchase is a purchase order as printed.
type Purchase struct {
	Firm     string     `json:"firm"`
	Number   string     `json:"number"`
	Supplier string     `json:"supplier"`
	Email    string     `json:"email"`
	OrderBy  string     `json:"order_by"`
	Delivery string     `json:"delivery"`
	NeedBy   string     `json:"need_by"`
	Late     bool       `json:"late"`
	Rooms    []string   `json:"rooms"`
	Notes    string     `json:"notes"`
	Currency string     `json:"currency"`
	Total    string     `json:"total"`
	Lines    []BuyEntry `json:"lines"`

	date     string
	imperial bool
}

// BuyEntry is a line of a purchase.
type BuyEntry struct {
	Product  string `json:"product"`
	Name     string `json:"name"`
	Lot      string `json:"lot"`
	Quantity string `json:"quantity"`
	Unit     string `json:"unit"`
	Price    string `json:"price"`
	Amount   string `json:"amount"`
	NeedBy   string `json:"need_by"`
	NeedDate string `json:"need_date"`
}

// NewPurchase builds the model of an order of the document.
func (Printer) NewPurchase(doc *plandoc.Document, key string) (*Purchase, error) {
	x, w := doc.Index(), doc.Writing()
	o := x.Orders[key]
	if o == nil {
		return nil, fmt.Errorf("order: the plan has no order %q", key)
	}
	p := &Purchase{Firm: doc.Firm, Number: o.Key, Supplier: o.Supplier, OrderBy: w.Day(o.OrderBy), Delivery: w.Day(o.Delivery), NeedBy: w.Day(o.NeedBy),
		Late: o.Late, Notes: o.Notes, Currency: o.Currency, date: o.OrderBy, imperial: w.Imperial}
	if s := x.Suppliers[o.Supplier]; s != nil {
		p.Supplier, p.Email = s.Name, s.Email
	}
	for _, r := range o.Rooms {
		p.Rooms = append(p.Rooms, x.RoomName(r))
	}
	var err error
	if p.Total, err = amount(o.Total); err != nil {
		return nil, fmt.Errorf("order %s: total: %w", key, err)
	}
	for i, l := range o.Lines {
		e := BuyEntry{Name: l.Text, Quantity: plandoc.Figure(l.Quantity, 2), Unit: l.Unit, NeedBy: w.ShortDay(l.NeedBy), NeedDate: l.NeedBy}
		if l.Product != nil {
			e.Product = *l.Product
			if e.Name == "" {
				e.Name = x.ProductName(*l.Product)
			}
		}
		if l.Lot != nil {
			e.Lot = *l.Lot
		}
		if e.Price, err = amount(l.UnitPrice); err == nil {
			e.Amount, err = amount(l.Amount)
		}
		if err != nil {
			return nil, fmt.Errorf("order %s, line %d: %w", key, i+1, err)
		}
		p.Lines = append(p.Lines, e)
	}
	return p, nil
}

// amount writes money with as many decimals as it came with, at least two.
func amount(n json.Number) (string, error) {
	if n == "" {
		return "0.00", nil
	}
	d, err := decimal.NewFromString(n.String())
	if err != nil {
		return "", fmt.Errorf("amount %q: %w", n, err)
	}
	return d.StringFixed(max(2, -d.Exponent())), nil
}

// OrderFile writes an order of the document as "pdf", "csv", "xlsx" or "json".
func (p Printer) OrderFile(w io.Writer, doc *plandoc.Document, key, format string) error {
	o, err := p.NewPurchase(doc, key)
	if err != nil {
		return err
	}
	switch format {
	case "pdf":
		return o.PDF(w)
	case "csv":
		return o.CSV(w)
	case "xlsx":
		return o.XLSX(w)
	case "json":
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		return e.Encode(o)
	}
	return fmt.Errorf("order: there is no format %q; there are pdf, csv, xlsx and json", format)
}

var orderHead = []string{"order", "supplier", "product", "text", "lot", "quantity", "unit", "unit_price", "amount", "currency", "need_by"}

func (p *Purchase) rows() [][]string {
	var out [][]string
	for _, l := range p.Lines {
		out = append(out, []string{p.Number, p.Supplier, l.Product, l.Name, l.Lot, l.Quantity, l.Unit, l.Price, l.Amount, p.Currency, l.NeedDate})
	}
	return out
}

// CSV writes the order's lines.
func (p *Purchase) CSV(w io.Writer) error {
	return writeCSV(csv.NewWriter(w), append([][]string{append([]string(nil), orderHead...)}, p.rows()...))
}
