package sheet

import (
	"fmt"
	"io"
	"strings"
	"time"

	"potlife/rooms"
)

// PDF writes the order on A4 or Letter.
func (p *Purchase) PDF(w io.Writer) error {
	stamp, err := time.Parse(time.DateOnly, p.date)
	if err != nil {
		return fmt.Errorf("order %s: date %q: %w", p.name(), p.date, err)
	}
	title := "Purchase order " + p.name()
	if p.Number == "" {
		title = "Draft of purchase order " + p.Key
	}
	pp := newPaper(p.imperial, title, p.Firm, stamp)
	pp.running = title
	pp.foot = p.Firm + " · " + pp.running
	p.pdfHead(pp)
	pp.heading("Lines")
	var rows [][]string
	for _, l := range p.Lines {
		name := l.Name
		if l.Lot != "" {
			name += "\nlot " + l.Lot
		}
		rows = append(rows, []string{p.w.Number(quantity(l.Quantity), 2), rooms.Plural(l.Unit, quantity(l.Quantity)), name, p.w.ShortDay(l.NeedBy), p.w.Money(l.Price), p.w.Money(l.Amount)})
	}
	rows = append(rows, []string{"", "", "total", "", p.Currency, p.w.Money(p.Total)})
	pp.table([]column{{head: "quantity", share: 2, right: true, bold: true}, {head: "unit", share: 2}, {head: "what", share: 9}, {head: "needed", share: 3},
		{head: "price, " + p.Currency, share: 2.4, right: true}, {head: "amount, " + p.Currency, share: 2.8, right: true, bold: true}}, rows)
	if p.Remark != "" {
		pp.para(p.Remark, Type{Size: body, Ink: Dark}, 0)
	}
	pp.para("Tile of one line from one lot and one calibre, unless the line says otherwise. Please confirm lot, calibre and day of delivery.", Type{Size: body, Ink: Mid}, 0)
	return pp.finish(w)
}

func (p *Purchase) pdfHead(pp *paper) {
	pp.c.Text(Pt{pageSide, pp.y + 3}, p.Firm, Type{Size: 3, Ink: Mid})
	title, name := "Purchase order", "no. "+p.Number
	switch {
	case p.Number == "":
		title, name = "Purchase order, draft", p.Key
	case p.State == "cancelled":
		title = "Purchase order, cancelled"
	}
	pp.c.Text(Pt{pageSide, pp.y + 11}, title, Type{Size: 6.5, Bold: true, Ink: Dark})
	pp.c.Text(Pt{pp.w - pageSide, pp.y + 11}, name, Type{Size: 5, Ink: Dark, Anchor: Right})
	pp.y += 15
	b := p.Buyer
	contact := joinNonEmpty(", ", b.Phone, b.Email)
	tax := ""
	if b.Tax != "" {
		tax = "tax number " + b.Tax
	}
	facts := [][2]string{{"order date", p.w.Day(p.Placed)}, {"our mark", p.Key}, {"supplier", joinNonEmpty(", ", p.Supplier, p.Email)},
		{"buyer", joinNonEmpty(" · ", joinNonEmpty(", ", b.Name, b.Address), contact, tax)}, {"deliver to", p.DeliverTo},
		{"deliver on", p.w.Day(p.Delivery)}, {"order by", p.w.Day(p.OrderBy)}, {"needed", p.w.Day(p.NeedBy)}, {"for", strings.Join(p.Rooms, ", ")}}
	if p.Number != "" {
		facts[6][1] = "" // done
	} else {
		facts[1][1] = ""
	}
	for _, fact := range facts {
		if fact[1] == "" {
			continue
		}
		pp.c.Text(Pt{pageSide, pp.y + 3}, fact[0], Type{Size: body, Ink: Mid})
		for _, s := range pp.wrap(fact[1], pp.inner()-22, Type{Size: 3, Ink: Dark}) {
			pp.c.Text(Pt{pageSide + 22, pp.y + 3}, s, Type{Size: 3, Ink: Dark})
			pp.y += 4.2
		}
	}
}
