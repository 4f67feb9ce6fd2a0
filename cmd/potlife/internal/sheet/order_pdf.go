package sheet

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// PDF writes the order on A4 or Letter.
func (p *Purchase) PDF(w io.Writer) error {
	stamp, err := time.Parse(time.DateOnly, p.date)
	if err != nil {
		return fmt.Errorf("order %s: order-by date %q: %w", p.Number, p.date, err)
	}
	pp := newPaper(p.imperial, "Purchase order "+p.Number, p.Firm, stamp)
	pp.running = "Purchase order " + p.Number
	pp.foot = p.Firm + " · " + pp.running
	p.pdfHead(pp)
	pp.heading("Lines")
	var rows [][]string
	for _, l := range p.Lines {
		name := l.Name
		if l.Lot != "" {
			name += "\nlot " + l.Lot
		}
		rows = append(rows, []string{l.Quantity, l.Unit, name, l.NeedBy, l.Price, l.Amount})
	}
	rows = append(rows, []string{"", "", "total", "", p.Currency, p.Total})
	pp.table([]column{{head: "quantity", share: 2, right: true, bold: true}, {head: "unit", share: 2}, {head: "what", share: 9}, {head: "needed", share: 3},
		{head: "price, " + p.Currency, share: 2.4, right: true}, {head: "amount, " + p.Currency, share: 2.8, right: true, bold: true}}, rows)
	if p.Notes != "" {
		pp.para(p.Notes, Type{Size: body, Ink: Dark}, 0)
	}
	pp.para("Tile of one line from one lot and one calibre, unless the line says otherwise. Please confirm lot, calibre and day of delivery.", Type{Size: body, Ink: Mid}, 0)
	return pp.finish(w)
}

func (p *Purchase) pdfHead(pp *paper) {
	pp.c.Text(Pt{pageSide, pp.y + 3}, p.Firm, Type{Size: 3, Ink: Mid})
	pp.c.Text(Pt{pageSide, pp.y + 11}, "Purchase order", Type{Size: 6.5, Bold: true, Ink: Dark})
	pp.c.Text(Pt{pp.w - pageSide, pp.y + 11}, p.Number, Type{Size: 5, Ink: Dark, Anchor: Right})
	pp.y += 15
	facts := [][2]string{{"to", joinNonEmpty(", ", p.Supplier, p.Email)}, {"order by", p.OrderBy}, {"deliver", p.Delivery}, {"needed", p.NeedBy}, {"for", strings.Join(p.Rooms, ", ")}}
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
