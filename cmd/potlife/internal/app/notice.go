package app

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/rooms"
	"potlife/scheduler"
)

// notice is what the contractor is told when a working day is issued.
type notice struct {
	Firm, Page  string
	Date        rooms.Date
	w           plandoc.Writing
	Issued      []string // crew, revision, rooms
	None        []string // crews without a sheet, and why
	Moved       []string // what was meant for the day, and what it waits for
	Orders      []string // to be placed by now
	Deliveries  []string // expected and not received
	Undelivered []string // messages that were given up
}

// tell writes the notice of a round, once a working day whatever the number of
// processes, and hands it to the outbox.
func (a *App) tell(ctx context.Context, plan int64, doc *plandoc.Document, was *scheduler.Plan, r round, all []Outcome) error {
	n := notice{Firm: doc.Firm, w: doc.Writing(), Date: all[0].Date, Page: a.o.PublicURL + "/sheets"}
	for _, o := range all {
		moved := o.Moved
		if o.Issued == 0 {
			var err error
			if moved, err = a.moved(ctx, was, plan, doc, o.Crew, o.Date); err != nil {
				return err
			}
		}
		name, day := crewName(doc, o.Crew), n.w.ShortDay(o.Date.String())
		switch {
		case o.Revision > 0:
			n.Issued = append(n.Issued, fmt.Sprintf("%s, %s: revision %d, %s", name, day, o.Revision, dayWork(doc, o.Crew, o.Date.String())))
		default:
			n.None = append(n.None, fmt.Sprintf("%s, %s: %s", name, day, a.whyIdle(ctx, plan, doc, o)))
		}
		for _, m := range moved {
			n.Moved = append(n.Moved, name+": "+m)
		}
	}
	if err := a.late(ctx, doc, r.now, &n); err != nil {
		return err
	}
	messages, err := a.noticeMessages(ctx, n)
	if err != nil {
		return err
	}
	added, err := a.o.Store.AddNotice(ctx, n.Date, n.subject(), n.text(), messages, a.now())
	if added {
		a.log.Info("the contractor is told", "date", n.Date, "issued", len(n.Issued), "without", len(n.None), "moved", len(n.Moved))
	}
	return err
}

// whyIdle says why a crew has no sheet, from the plan itself where it can be
// read.
func (a *App) whyIdle(ctx context.Context, plan int64, doc *plandoc.Document, o Outcome) string {
	if strings.HasPrefix(o.Why, "it could not") {
		return o.Why
	}
	is, err := a.planOf(ctx, plan)
	if err != nil {
		a.log.Warn("why a crew has no sheet is not known", "crew", o.Crew, "err", err)
		return "no work is planned for it"
	}
	return doc.Say([]string{scheduler.WhyIdle(is, o.Crew, o.Date)})[0]
}

func crewName(doc *plandoc.Document, key string) string {
	for _, c := range doc.Crews {
		if c.Key == key && c.Name != "" {
			return c.Name
		}
	}
	return key
}

// dayWork names what a crew does on a day: "membrane, set in Bath 1".
func dayWork(doc *plandoc.Document, crew, date string) string {
	i := sheetIndex(doc, crew, date)
	if i < 0 {
		return "nothing left of it in the plan"
	}
	on := map[string]bool{}
	for _, id := range doc.Sheets[i].Activities {
		on[id] = true
	}
	var kinds, where []string
	for _, act := range doc.Activities {
		if on[act.ID] {
			kinds, where = once(kinds, act.Kind), once(where, act.Room)
		}
	}
	x := doc.Index()
	for i := range where {
		where[i] = x.RoomName(where[i])
	}
	return strings.Join(kinds, ", ") + " in " + strings.Join(where, "; ")
}

func once(list []string, s string) []string {
	for _, have := range list {
		if have == s {
			return list
		}
	}
	return append(list, s)
}

// late adds what is due from the office: orders to place, deliveries that have
// not come, messages that were given up.
func (a *App) late(ctx context.Context, doc *plandoc.Document, now time.Time, n *notice) error {
	zone, err := time.LoadLocation(doc.Zone)
	if err != nil {
		return err
	}
	today := rooms.DateOf(now.In(zone)).String()
	placed, err := a.o.Store.Placed(ctx)
	if err != nil {
		return err
	}
	stands, x := map[string]bool{}, doc.Index()
	for _, o := range placed {
		stands[o.Key] = true
	}
	for _, o := range doc.Orders {
		switch {
		case !stands[o.Key] && o.OrderBy <= today:
			n.Orders = append(n.Orders, fmt.Sprintf("%s to %s: order by %s, needed on %s", o.Key, x.SupplierName(o.Supplier), n.w.ShortDay(o.OrderBy), n.w.ShortDay(o.NeedBy)))
		case strings.Contains(o.Notes, scheduler.OverdueNote):
			_, note, _ := strings.Cut(o.Notes, scheduler.OverdueNote)
			note, _, _ = strings.Cut(note, ".")
			n.Deliveries = append(n.Deliveries, fmt.Sprintf("%s from %s, expected%s", o.Key, x.SupplierName(o.Supplier), note))
		}
	}
	open, err := a.o.Store.Messages(ctx, true, 200)
	if err != nil {
		return err
	}
	for _, m := range open {
		if m.FailedAt != nil && len(n.Undelivered) < 20 {
			n.Undelivered = append(n.Undelivered, strings.TrimSpace(fmt.Sprintf("%s by %s %s: %s", m.Key, m.Channel, m.To, m.LastError)))
		}
	}
	return nil
}

func (n notice) subject() string {
	s := fmt.Sprintf("%s: %s issued", n.w.Day(n.Date.String()), count(len(n.Issued), "sheet"))
	if len(n.None) > 0 {
		s += ", " + count(len(n.None), "crew") + " without"
	}
	if len(n.Moved) > 0 {
		s += fmt.Sprintf(", %d moved", len(n.Moved))
	}
	if k := len(n.Orders) + len(n.Deliveries) + len(n.Undelivered); k > 0 {
		s += ", " + count(k, "matter") + " for the office"
	}
	return s
}

func count(n int, what string) string {
	return fmt.Sprintf("%d %s", n, rooms.Plural(what, float64(n)))
}

func (n notice) text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, what goes out for %s\n", n.Firm, n.w.Day(n.Date.String()))
	part := func(title string, lines []string) {
		if len(lines) == 0 {
			return
		}
		fmt.Fprintf(&b, "\n%s\n", title)
		for _, l := range lines {
			fmt.Fprintf(&b, "- %s\n", l)
		}
	}
	part("Issued", n.Issued)
	part("No sheet", n.None)
	part("Moved", n.Moved)
	part("Orders to place", n.Orders)
	part("Deliveries not received", n.Deliveries)
	part("Messages that could not be delivered", n.Undelivered)
	fmt.Fprintf(&b, "\n%s\n", n.Page)
	return b.String()
}

// noticeMessages writes one message per channel that is configured; the mail
// goes to the contractors, or to the firm's own address where none has one.
func (a *App) noticeMessages(ctx context.Context, n notice) ([]store.Message, error) {
	id := "notice." + n.Date.String()
	var out []store.Message
	add := func(key string, m deliver.Message) error {
		m.ID, m.Created, m.Event, m.Subject = key, a.now(), "day issued", n.subject()
		body, err := json.Marshal(m)
		out = append(out, store.Message{Key: m.ID, Channel: m.Channel, To: m.To, Body: body})
		return err
	}
	if a.o.Post[deliver.Folder] != nil {
		file := deliver.File{Name: n.Date.String() + " notice.txt", Type: "text/plain; charset=utf-8", Data: []byte(n.text())}
		if err := add(id+".folder", deliver.Message{Channel: deliver.Folder, Files: []deliver.File{file}}); err != nil {
			return nil, err
		}
	}
	if a.o.Post[deliver.Mail] != nil {
		to, err := a.contractors(ctx)
		if err != nil {
			return nil, err
		}
		for i, address := range to {
			key := id + ".mail"
			if i > 0 {
				key = fmt.Sprintf("%s.%d.mail", id, i+1)
			}
			if err := add(key, deliver.Message{Channel: deliver.Mail, To: address, Text: n.text()}); err != nil {
				return nil, err
			}
		}
	}
	if a.o.Post[deliver.Webhook] != nil {
		body, err := json.Marshal(map[string]any{"event": "day issued", "date": n.Date.String(), "issued": list(n.Issued), "without": list(n.None),
			"moved": list(n.Moved), "orders": list(n.Orders), "deliveries": list(n.Deliveries), "undelivered": list(n.Undelivered), "page": n.Page})
		if err != nil {
			return nil, err
		}
		if err := add(id+".webhook", deliver.Message{Channel: deliver.Webhook, Body: body}); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// list is never null in JSON.
func list(in []string) []string { return append([]string{}, in...) }

// contractors are the addresses that notices go to.
func (a *App) contractors(ctx context.Context) ([]string, error) {
	users, err := a.o.Store.Users(ctx)
	if err != nil {
		return nil, err
	}
	var to []string
	for _, u := range users {
		if u.Role == "contractor" && u.Email != "" && !u.Disabled {
			to = once(to, u.Email)
		}
	}
	if len(to) > 0 {
		return to, nil
	}
	firm, err := a.o.Store.Firm(ctx)
	if err != nil || firm.Catalogue.Buyer.Email == "" {
		return nil, err
	}
	return []string{firm.Catalogue.Buyer.Email}, nil
}
