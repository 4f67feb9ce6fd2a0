package web

import (
	"bytes"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"potlife/cmd/potlife/internal/plandoc"
)

type ordersPage struct {
	frame
	Orders []orderEntry
}

type orderEntry struct {
	Key, Name, Number, Supplier, State                    string
	OrderBy, Delivery, Ready, NeedBy, Total, Currency, By string
	Late, Unsent                                          bool
	Lines                                                 int
}

type orderPage struct {
	frame
	Order         orderEntry
	Email         string
	DeliverTo     string
	ToSite        bool // it is delivered to a site
	InYard        bool // of the form sent again
	Mail          string
	Unsent        bool
	Came          []cameRow
	Changes       []changeRow
	Rooms         string
	Notes, Remark string
	Lines         []orderLine
	Steps         []orderStep
	Key           string // idempotency key of the forms
	Today         string
	MayPlace      bool
	Unsigned      []roomSign // rooms that keep it from being placed
	MayReceive    bool
	Next          []string // steps it can take besides
	Lot           lotForm
	Trouble       string
	PlaceNote     string
	ReceiptNote   string
	ReceivedInput []receiveInput
}

type orderLine struct{ Product, Text, Lot, Quantity, Price, Amount, NeedBy string }

type orderStep struct{ State, By, At, Text string }

type receiveInput struct {
	Product, Name, Expected, Lot, Calibre, Packages, Damaged, Wrong string
	MeanWidth, MeanHeight, Unit                                     string
	Lots                                                            bool // it is tile, which comes in lots and is measured
}

func (s *server) orders(w http.ResponseWriter, r *http.Request) error {
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	placed, err := s.o.Orders.Placed(r.Context())
	if err != nil {
		return err
	}
	p := ordersPage{frame: s.frame(r, "Orders", "orders")}
	for _, b := range v.book(placed) {
		p.Orders = append(p.Orders, v.orderEntry(b))
	}
	s.render(w, r, http.StatusOK, "orders", p)
	return nil
}

// booked is an order as the pages show it: a draft of the plan, or one that was
// placed.
type booked struct {
	*plandoc.Order
	state OrderState // of a draft empty but for State
}

// name is what an order goes by: its number, or as a draft its key.
func (b booked) name() string {
	if b.state.Number == "" {
		return b.Key
	}
	return b.state.Number
}

func (b booked) mark(zone *time.Location) plandoc.OrderMark {
	m := plandoc.OrderMark{Number: b.state.Number, State: b.state.State}
	if len(b.state.Steps) > 0 {
		m.Placed = b.state.Steps[0].At.In(zone).Format(time.DateOnly)
	}
	return m
}

// book lists the drafts of the plan, then what was placed, the latest first.
func (v *view) book(placed []OrderState) []booked {
	var drafts, done []booked
	live := map[string]bool{}
	for _, st := range slices.Backward(placed) {
		b := booked{Order: st.Order, state: st}
		if b.Order == nil {
			b.Order = v.x.Orders[st.Key]
		}
		if b.Order == nil {
			continue
		}
		live[st.Key] = live[st.Key] || st.State != "cancelled"
		done = append(done, b)
	}
	for i := range v.Document.Orders {
		if o := &v.Document.Orders[i]; !live[o.Key] {
			drafts = append(drafts, booked{Order: o, state: OrderState{Key: o.Key, State: "draft"}})
		}
	}
	return append(drafts, done...)
}

// find looks an order up by its number or its key; a key means the order that
// stands, which comes before any that was cancelled under it.
func (v *view) find(placed []OrderState, name string) (booked, error) {
	var cancelled *booked
	for _, b := range v.book(placed) {
		switch {
		case b.state.Number == name && name != "", b.Key == name && b.state.State != "cancelled":
			return b, nil
		case b.Key == name && cancelled == nil:
			cancelled = &b
		}
	}
	if cancelled != nil {
		return *cancelled, nil
	}
	return booked{}, &Error{Kind: NotFound, Text: "There is no order " + name + ", neither placed nor in the plan."}
}

func (v *view) orderEntry(b booked) orderEntry {
	o := b.Order
	e := orderEntry{Key: o.Key, Name: b.name(), Number: b.state.Number, Supplier: o.Supplier, State: b.state.State, OrderBy: v.w.ShortDay(o.OrderBy), Delivery: v.w.ShortDay(o.Delivery), Ready: v.w.ShortDay(o.Ready),
		NeedBy: v.w.ShortDay(o.NeedBy), Total: v.w.Money(o.Total.String()), Currency: o.Currency, Late: o.Late && b.state.State == "draft", Lines: len(o.Lines), Unsent: b.state.Unsent}
	if sup := v.x.Suppliers[o.Supplier]; sup != nil {
		e.Supplier = sup.Name
	}
	return e
}

// money writes an amount for programs, as exactly as it came, with two decimals at
// least; people read plandoc.Writing.Money.
func money(s string) string {
	d, err := decimal.NewFromString(s)
	if err != nil {
		return s
	}
	return d.StringFixed(max(2, -d.Exponent()))
}

func (s *server) order(w http.ResponseWriter, r *http.Request) error {
	p, err := s.orderPage(r)
	if err != nil {
		return err
	}
	s.render(w, r, http.StatusOK, "order", p)
	return nil
}

func (s *server) orderPage(r *http.Request) (*orderPage, error) {
	v, o, err := s.orderOf(r)
	if err != nil {
		return nil, err
	}
	p := &orderPage{frame: s.frame(r, "Order "+o.name(), "orders"), Order: v.orderEntry(o), Notes: o.Notes, Remark: o.Remark, Key: s.o.NewKey(), Today: s.o.Now().In(zoneOf(v)).Format(time.DateOnly),
		DeliverTo: o.DeliverTo, ToSite: deref(o.Place) != "", InYard: r.PostForm.Get("lies") == inYard, Mail: o.state.Mail, Unsent: o.state.Unsent}
	if sup := v.x.Suppliers[o.Supplier]; sup != nil {
		p.Email = sup.Email
	}
	p.Rooms = v.roomNames(o.Rooms)
	for i, l := range o.Lines {
		line := orderLine{Product: deref(l.Product), Text: l.Text, Lot: deref(l.Lot), Quantity: v.w.Quantity(l.Quantity, l.Unit), Price: v.w.Money(l.UnitPrice.String()), Amount: v.w.Money(l.Amount.String()), NeedBy: v.w.ShortDay(l.NeedBy)}
		p.Lines = append(p.Lines, line)
		if l.Product != nil {
			_, tile := v.x.Tiles[*l.Product]
			p.ReceivedInput = append(p.ReceivedInput, receiveInput{Product: *l.Product, Name: v.x.ProductName(*l.Product), Expected: line.Quantity, Lot: line.Lot, Packages: plandoc.Figure(o.open(i), 2), Damaged: "0", Wrong: "0", Unit: v.w.Unit(), Lots: tile})
		}
	}
	p.Came = v.came(o)
	p.Changes = v.changes(o)
	for _, st := range o.state.Steps {
		p.Steps = append(p.Steps, orderStep{State: st.State, By: st.By, At: v.w.DayClock(st.At.Format(time.RFC3339)), Text: st.Text})
	}
	p.Next = nextSteps[p.Order.State]
	p.Lot = v.lotForm(o)
	p.MayPlace = p.Order.State == "draft"
	if p.MayPlace {
		if p.Unsigned, err = s.unsigned(r.Context(), v, o.Rooms); err != nil {
			return nil, err
		}
	}
	p.MayReceive = p.Order.State == "placed" || p.Order.State == "confirmed" || p.Order.State == "part received"
	return p, nil
}

func zoneOf(v *view) *time.Location {
	if v.w.Zone != nil {
		return v.w.Zone
	}
	return time.UTC
}

func (s *server) orderOf(r *http.Request) (*view, booked, error) {
	v, err := s.current(r.Context())
	if err != nil {
		return nil, booked{}, err
	}
	placed, err := s.o.Orders.Placed(r.Context())
	if err != nil {
		return nil, booked{}, err
	}
	b, err := v.find(placed, r.PathValue("order"))
	return v, b, err
}

// orderFile serves order.pdf, order.csv, order.xlsx and order.json.
func (s *server) orderFile(w http.ResponseWriter, r *http.Request) error {
	v, o, err := s.orderOf(r)
	if err != nil {
		return err
	}
	format, ok := strings.CutPrefix(r.PathValue("file"), "order.")
	if !ok || format != "pdf" && format != "csv" && format != "xlsx" && format != "json" {
		return &Error{Kind: NotFound, Text: "An order comes as order.pdf, order.csv, order.xlsx or order.json."}
	}
	return s.file(w, contentTypes[format], "order-"+o.name()+"."+format, format == "csv" || format == "xlsx", func(b *bytes.Buffer) error {
		return s.o.Print.OrderFile(b, v.Document, o.Order, o.mark(zoneOf(v)), format)
	})
}

func (s *server) placeOrder(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return unreadable(err)
	}
	_, o, err := s.orderOf(r)
	if err != nil {
		return err
	}
	in := PlaceIn{Key: formKey(r), Order: o.Key, By: *userOf(r.Context()), At: s.o.Now(), Note: strings.TrimSpace(r.PostForm.Get("note"))}
	if in.Key == "" {
		return &Error{Kind: Invalid, Field: "key", Text: "The form lacks its key. Open the order again and send it from there."}
	}
	if err := s.o.Orders.Place(r.Context(), in); err != nil {
		return s.orderAgain(w, r, err)
	}
	s.notice(r, "Order "+o.Key+" is placed.")
	http.Redirect(w, r, path("orders", o.Key), http.StatusSeeOther)
	return nil
}

func (s *server) receiveOrder(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return unreadable(err)
	}
	v, o, err := s.orderOf(r)
	if err != nil {
		return err
	}
	in, err := s.readReceipt(r, v, o)
	if err == nil {
		err = s.o.Orders.Receive(r.Context(), in)
	}
	if err != nil {
		return s.orderAgain(w, r, err)
	}
	s.notice(r, "The delivery of order "+o.name()+" is booked.")
	http.Redirect(w, r, path("orders", o.name()), http.StatusSeeOther)
	return nil
}

// orderAgain shows the order with what was wrong and with what was typed.
func (s *server) orderAgain(w http.ResponseWriter, r *http.Request, err error) error {
	known, ok := err.(*Error)
	if !ok || known.Kind == NotFound || known.Kind == Forbidden {
		return err
	}
	p, e := s.orderPage(r)
	if e != nil {
		return e
	}
	p.Trouble, p.PlaceNote, p.ReceiptNote = known.Text, r.PostForm.Get("note"), r.PostForm.Get("note")
	if key := formKey(r); key != "" {
		p.Key = key
	}
	if d := r.PostForm.Get("date"); d != "" {
		p.Today = d
	}
	for i := range p.ReceivedInput {
		in := &p.ReceivedInput[i]
		at := func(name string, into *string) {
			if list := r.PostForm[name]; i < len(list) {
				*into = list[i]
			}
		}
		at("lot", &in.Lot)
		at("calibre", &in.Calibre)
		at("packages", &in.Packages)
		at("damaged", &in.Damaged)
		at("wrong", &in.Wrong)
		at("mean_width", &in.MeanWidth)
		at("mean_height", &in.MeanHeight)
	}
	s.render(w, r, statuses[known.Kind], "order", p)
	return nil
}

func formKey(r *http.Request) string {
	key := strings.TrimSpace(r.PostForm.Get("key"))
	if len(key) > 100 {
		return ""
	}
	return key
}

// inYard is what a receipt says of goods that do not lie on the site their order
// names.
const inYard = "yard"

// readReceipt reads the rows of the receive form; rows without packages are
// left out.
func (s *server) readReceipt(r *http.Request, v *view, o booked) (ReceiveIn, error) {
	f := r.PostForm
	in := ReceiveIn{Key: formKey(r), Order: o.name(), By: *userOf(r.Context()), At: s.o.Now(), Date: strings.TrimSpace(f.Get("date")), Note: strings.TrimSpace(f.Get("note")),
		Yard: f.Get("lies") == inYard}
	if in.Key == "" {
		return in, &Error{Kind: Invalid, Field: "key", Text: "The form lacks its key. Open the order again and send it from there."}
	}
	if _, err := time.Parse(time.DateOnly, in.Date); err != nil {
		return in, &Error{Kind: Invalid, Field: "date", Text: fmt.Sprintf("The day of delivery %q is not of the form 2026-03-04.", in.Date)}
	}
	products := f["product"]
	for i, product := range products {
		field := func(name string) string {
			if list := f[name]; i < len(list) {
				return strings.TrimSpace(list[i])
			}
			return ""
		}
		line := ReceiveLine{Product: product, Lot: field("lot"), Calibre: field("calibre")}
		var err error
		if line.Packages, err = readCount("packages", v.x.ProductName(product), field("packages")); err != nil {
			return in, err
		}
		if line.Damaged, err = readCount("damaged", v.x.ProductName(product), field("damaged")); err != nil {
			return in, err
		}
		if line.Wrong, err = readCount("wrong", v.x.ProductName(product), field("wrong")); err != nil {
			return in, err
		}
		if err := v.readMean(&line, field("mean_width"), field("mean_height")); err != nil {
			return in, err
		}
		if err := v.checkReceived(line); err != nil {
			return in, err
		}
		if line.Packages > 0 {
			in.Lines = append(in.Lines, line)
		}
	}
	if len(in.Lines) == 0 {
		return in, &Error{Kind: Invalid, Field: "packages", Text: "Nothing came: give the number of packages of at least one line."}
	}
	return in, nil
}

func readCount(field, product, text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
	if err != nil || v < 0 || v > 1e6 || v != v {
		return 0, &Error{Kind: Invalid, Field: field, Text: fmt.Sprintf("%s: %q is not a number of packages from 0 on.", product, text)}
	}
	return v, nil
}
