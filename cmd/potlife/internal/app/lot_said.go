package app

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
)

// OtherLot says on the command line what another lot for a line would change, and
// takes it where that is asked for.
func (d *Daemon) OtherLot(ctx context.Context, o plandoc.LotAsked) ([]string, error) {
	p := Pages{d.App}
	in := web.LotIn{Order: o.Order, Line: o.Line, Lot: o.Lot, Calibre: o.Calibre, Boxes: o.Boxes}
	got, err := p.OtherLot(ctx, in)
	if err != nil {
		return nil, plainRefusal(err)
	}
	_, doc, err := d.current(ctx)
	if err != nil {
		return nil, err
	}
	lines := lotSaid(doc, o.Lot, got)
	if !o.Take {
		return append(lines, "Nothing is changed; --take takes the lot."), nil
	}
	if len(got.Mixed) > 0 && !o.Mixed {
		return lines, &store.Error{Kind: store.ErrConflict, Text: "nothing is changed: rooms would get two lots; --mixed says that this is meant"}
	}
	take := web.TakeLotIn{LotIn: in, Seen: got.Seen, Mixed: o.Mixed, By: web.User{Name: "command line"}, Note: o.Note}
	if err := p.TakeLot(ctx, take); err != nil {
		return lines, plainRefusal(err)
	}
	if _, err := d.Replan(ctx, "lot "+o.Lot+" taken on the command line"); err != nil {
		return append(lines, "Lot "+o.Lot+" is taken."), err
	}
	return append(lines, "Lot "+o.Lot+" is taken, and the plan follows."), nil
}

// plainRefusal is a page's refusal as the command line knows them.
func plainRefusal(err error) error {
	var refused *web.Error
	if !errors.As(err, &refused) {
		return err
	}
	kind := store.ErrInvalid
	switch refused.Kind {
	case web.NotFound:
		kind = store.ErrNotFound
	case web.Conflict:
		kind = store.ErrConflict
	}
	return &store.Error{Kind: kind, Text: refused.Text}
}

// lotSaid writes an answer line by line.
func lotSaid(doc *plandoc.Document, lot string, a web.LotAnswer) []string {
	w, x := doc.Writing(), doc.Index()
	planned := "a lot that the supplier picks"
	if a.Planned != "" {
		planned = "lot " + a.Planned
	}
	lines := []string{fmt.Sprintf("%s: lot %s instead of %s", x.ProductName(a.Product), lot, planned)}
	for _, l := range []struct {
		what string
		keys []string
	}{{"lot " + lot + " alone", a.Whole}, {"left with " + planned, a.Stay}, {"two lots side by side", a.Mixed}, {"laid out anew for the size of the lot", a.Relaid}} {
		if len(l.keys) > 0 {
			lines = append(lines, "  "+l.what+": "+namesOf(doc, l.keys))
		}
	}
	for _, b := range a.Bought {
		of := b.Lot
		if of == "" {
			of = "of the supplier's choice"
		}
		lines = append(lines, fmt.Sprintf("  bought, %s: %s instead of %s", of, w.Quantity(float64(b.Is), "box"), w.Number(float64(b.Was), 0)))
	}
	lines = append(lines, fmt.Sprintf("  all orders, with freight: %s %s, was %s", w.Money(a.CostIs), a.Currency, w.Money(a.CostWas)))
	for _, t := range a.Warnings {
		lines = append(lines, "  mind: "+t)
	}
	for _, t := range a.Text {
		lines = append(lines, "  "+strings.TrimSpace(t))
	}
	return lines
}
