package app

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/scheduler"
	"potlife/takeoff"
)

// orderChangeMail returns what writes the mail to the supplier that an order
// placed has been changed, or is cancelled: the step of its history that says so
// is the last. Nil as with orderMail.
func (a *App) orderChangeMail(ctx context.Context, firm *scheduler.Firm, o takeoff.Order) (func(*store.Order) ([]store.Message, error), error) {
	first, err := a.orderMail(ctx, firm, o)
	if first == nil || err != nil {
		return nil, err
	}
	return func(changed *store.Order) ([]store.Message, error) {
		letters, err := first(changed)
		if err != nil {
			return nil, err
		}
		step := changed.Events[len(changed.Events)-1]
		for i := range letters {
			var m deliver.Message
			if err := json.Unmarshal(letters[i].Body, &m); err != nil {
				return nil, err
			}
			m.ID = fmt.Sprintf("%s%d.step%d.mail", orderMailPrefix, changed.Number, len(changed.Events))
			m.Event, m.Subject = "order changed", fmt.Sprintf("Changed: order no. %d of %s", changed.Number, firm.Name)
			m.Text = fmt.Sprintf("Our order no. %d has been changed: %s.\nAs it stands now:\n\n%s", changed.Number, strings.TrimSuffix(step.Note, "."), m.Text)
			if changed.State == store.OrderCancelled {
				m.Event, m.Subject, m.Files = "order cancelled", fmt.Sprintf("Cancelled: order no. %d of %s", changed.Number, firm.Name), nil
				m.Text = strings.TrimSpace(fmt.Sprintf("We cancel our order no. %d. Please deliver nothing of it, and confirm. %s", changed.Number, step.Note)) + "\n\n" + firm.Name + "\n"
			}
			if letters[i].Body, err = json.Marshal(m); err != nil {
				return nil, err
			}
			letters[i].Key = m.ID
		}
		return letters, nil
	}, nil
}

// orderMail returns what writes the mail to the supplier once the order has its
// number: nil where no mail is configured or the supplier has no address.
func (a *App) orderMail(ctx context.Context, firm *scheduler.Firm, o takeoff.Order) (func(*store.Order) ([]store.Message, error), error) {
	to := ""
	for _, s := range firm.Catalogue.Suppliers {
		if s.Key == o.Supplier {
			to = s.Email
		}
	}
	if to == "" || a.o.Post[deliver.Mail] == nil {
		return nil, nil
	}
	_, doc, err := a.current(ctx)
	if err != nil {
		return nil, err
	}
	zone := firm.Zone
	if zone == nil {
		zone = time.UTC
	}
	return func(placed *store.Order) ([]store.Message, error) {
		m := deliver.Message{ID: orderMailKey(placed.Number), Channel: deliver.Mail, To: to, Created: a.now(), Event: "order placed",
			Subject: fmt.Sprintf("Order no. %d of %s", placed.Number, firm.Name)}
		written := doc.FromOrder(placed.Order)
		m.Text = orderText(written, placed.Number, firm.Name, doc.Writing())
		mark := plandoc.OrderMark{Number: fmt.Sprint(placed.Number), State: placed.State, Placed: a.now().In(zone).Format(time.DateOnly)}
		if m.Files, err = a.orderFiles(doc, written, mark); err != nil {
			return nil, err
		}
		body, err := json.Marshal(m)
		return []store.Message{{Key: m.ID, Channel: m.Channel, To: to, Body: body}}, err
	}, nil
}

// orderFiles are the attachments of an order's mail.
func (a *App) orderFiles(doc *plandoc.Document, o *plandoc.Order, m plandoc.OrderMark) ([]deliver.File, error) {
	var files []deliver.File
	for _, f := range []struct{ format, kind string }{{"pdf", "application/pdf"}, {"csv", "text/csv; charset=utf-8"}} {
		var b bytes.Buffer
		if err := a.o.Print.OrderFile(&b, doc, o, m, f.format); err != nil {
			return nil, fmt.Errorf("order %s as %s: %w", m.Number, f.format, err)
		}
		files = append(files, deliver.File{Name: "order-" + m.Number + "." + f.format, Type: f.kind, Data: b.Bytes()})
	}
	return files, nil
}

// orderText is the order in words, for those who open no attachment.
func orderText(o *plandoc.Order, number int64, firm string, w plandoc.Writing) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Our order no. %d is attached as PDF and CSV.\n\nDelivery on %s, please.\n", number, w.Day(o.Delivery))
	if o.DeliverTo != "" {
		fmt.Fprintf(&b, "Deliver to: %s\n", o.DeliverTo)
	}
	b.WriteByte('\n')
	for _, l := range o.Lines {
		fmt.Fprintf(&b, "%s  %s", w.Quantity(l.Quantity, l.Unit), l.Text)
		if l.Lot != nil && !strings.Contains(l.Text, *l.Lot) {
			fmt.Fprintf(&b, "  lot %s", *l.Lot)
		}
		b.WriteByte('\n')
	}
	if o.Remark != "" {
		fmt.Fprintf(&b, "\n%s\n", o.Remark)
	}
	fmt.Fprintf(&b, "\nTile of one line in one lot and one calibre. Please confirm lot, calibre and day of delivery.\n\n%s\n", firm)
	return b.String()
}
