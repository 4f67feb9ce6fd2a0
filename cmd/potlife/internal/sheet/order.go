package sheet

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strconv"

	"github.com/shopspring/decimal"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
)

// Purchase is a purchase order as printed. Its dates are YYYY-MM-DD, which the
// PDF writes as the firm does. It goes to the supplier, so it holds no note that is
// for the buyer alone.
type Purchase struct {
	Firm string `json:"firm"`
	// Number is the firm's count of orders; empty on a draft, which goes by its
	// key.
	Number    string        `json:"number"`
	Key       string        `json:"key"`
	State     string        `json:"state"`
	Placed    string        `json:"placed"`
	Supplier  string        `json:"supplier"`
	Email     string        `json:"email"`
	Buyer     plandoc.Buyer `json:"buyer"`
	DeliverTo string        `json:"deliver_to"`
	OrderBy   string        `json:"order_by"`
	Delivery  string        `json:"delivery"`
	NeedBy    string        `json:"need_by"`
	Late      bool          `json:"late"`
	Rooms     []string      `json:"rooms"`
	Remark    string        `json:"remark"`
	Currency  string        `json:"currency"`
	Total     string        `json:"total"`
	Lines     []BuyEntry    `json:"lines"`

	w        plandoc.Writing
	date     string
	imperial bool
}

// name is what the order is called by: its number, or as a draft its key.
func (p *Purchase) name() string {
	if p.Number == "" {
		return p.Key
	}
	return p.Number
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

// NewPurchase builds the model of an order, of the document or placed; the
// document lends its names and units.
func (Printer) NewPurchase(doc *plandoc.Document, o *plandoc.Order, m plandoc.OrderMark) (*Purchase, error) {
	x, w := doc.Index(), doc.Writing()
	p := &Purchase{Firm: doc.Firm, Number: m.Number, Key: o.Key, State: m.State, Supplier: o.Supplier, Buyer: o.Buyer, DeliverTo: o.DeliverTo,
		OrderBy: o.OrderBy, Delivery: o.Delivery, NeedBy: o.NeedBy,
		Late: o.Late, Remark: o.Remark, Currency: o.Currency, date: o.OrderBy, imperial: w.Imperial, w: w}
	if m.Placed != "" {
		p.Placed, p.date = m.Placed, m.Placed
	}
	if p.State == "" {
		p.State = "draft"
	}
	if p.Buyer.Name == "" {
		p.Buyer.Name = doc.Firm
	}
	if s := x.Suppliers[o.Supplier]; s != nil {
		p.Supplier, p.Email = s.Name, s.Email
	}
	for _, r := range rooms.InOrder(o.Rooms) {
		p.Rooms = append(p.Rooms, x.RoomName(r))
	}
	var err error
	if p.Total, err = amount(o.Total); err != nil {
		return nil, fmt.Errorf("order %s: total: %w", o.Key, err)
	}
	for i, l := range o.Lines {
		e := BuyEntry{Name: l.Text, Quantity: plandoc.Figure(l.Quantity, 2), Unit: l.Unit, NeedBy: l.NeedBy, NeedDate: l.NeedBy}
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
			return nil, fmt.Errorf("order %s, line %d: %w", o.Key, i+1, err)
		}
		p.Lines = append(p.Lines, e)
	}
	return p, nil
}

// quantity is the number of an entry.
func quantity(s string) float64 {
	n, _ := strconv.ParseFloat(s, 64)
	return n
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

// OrderFile writes an order as "pdf", "csv", "xlsx" or "json".
func (p Printer) OrderFile(w io.Writer, doc *plandoc.Document, order *plandoc.Order, m plandoc.OrderMark, format string) error {
	o, err := p.NewPurchase(doc, order, m)
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
		out = append(out, []string{p.name(), p.Supplier, l.Product, l.Name, l.Lot, l.Quantity, l.Unit, l.Price, l.Amount, p.Currency, l.NeedDate})
	}
	return out
}

// CSV writes the order's lines.
func (p *Purchase) CSV(w io.Writer) error {
	return writeCSV(csv.NewWriter(w), append([][]string{append([]string(nil), orderHead...)}, p.rows()...))
}
