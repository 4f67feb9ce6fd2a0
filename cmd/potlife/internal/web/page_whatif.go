package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
)

type whatIfPage struct {
	frame
	Offers    []offer
	Crews     []choice
	Rooms     []choice
	Suppliers []choice
	Orders    []choice
	Today     string
	Asked     string // the question in words
	Trouble   string
	Answer    []string
	Shifts    []shiftRow
	Answered  bool
}

// offer is a question that can be asked, with the fields it needs.
type offer struct {
	ID, Kind, Title                   string
	Crew, Room, Supplier, Order       bool
	From, To, Count                   bool
	FromLabel, CountLabel             string
	Texts                             []choice // of which one is chosen, where there are any
	TextLabel                         string
	ChosenFrom, ChosenTo, ChosenCount string
	Open                              bool
}

type shiftRow struct {
	Room, Was, Is, Moved, Blocked string
	LateWas, LateIs               int
}

var offers = []offer{
	{ID: "away", Kind: "crew away", Title: "A crew is away", Crew: true, From: true, To: true, FromLabel: "From"},
	{ID: "person", Kind: "person away", Title: "One of a crew is away, the others work on", Crew: true, TextLabel: "Who", Texts: []choice{{Key: "setter", Name: "a setter"}, {Key: "helper", Name: "a helper"}}, From: true, To: true, FromLabel: "From"},
	{ID: "first", Kind: "room first", Title: "A room is done before all others", Room: true},
	{ID: "extra", Kind: "extra day", Title: "A crew works on extra days", Crew: true, From: true, To: true, FromLabel: "From"},
	{ID: "setters", Kind: "more setters", Title: "A crew has more or fewer setters", Crew: true, Count: true, CountLabel: "How many more (−1: one fewer)"},
	{ID: "helpers", Kind: "more helpers", Title: "A crew has more or fewer helpers", Crew: true, Count: true, CountLabel: "How many more (−1: one fewer)"},
	{ID: "late", Kind: "supplier late", Title: "A supplier delivers late", Supplier: true, Count: true, CountLabel: "By how many days"},
	{ID: "order-late", Kind: "order late", Title: "An order that was placed comes late", Order: true, Count: true, CountLabel: "By how many days"},
	{ID: "order-of-work", Kind: "order of work", Title: "A room is done in another order of work", Room: true, TextLabel: "Order of work", Texts: ordersOfWork},
	{ID: "other-crew", Kind: "room to crew", Title: "Another crew does a room", Room: true, Crew: true},
	{ID: "due", Kind: "room due", Title: "A room is due on another day", Room: true, From: true, FromLabel: "Due"},
	{ID: "ready", Kind: "room ready", Title: "A room is ready on another day", Room: true, From: true, FromLabel: "Ready"},
}

// ordersOfWork are those a job file knows.
var ordersOfWork = []choice{{Key: "walls then floor", Name: "walls, then floor"}, {Key: "floor then walls", Name: "floor first and protected, then walls"},
	{Key: "walls from the second course, floor, bottom course", Name: "walls from the second course, floor, bottom course"}}

// whatIf asks and answers in one page. It is a GET: nothing is saved.
func (s *server) whatIf(w http.ResponseWriter, r *http.Request) error {
	if s.o.Outlook == nil {
		return &Error{Kind: NotFound, Text: "This program does not answer what-if questions."}
	}
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	q := r.URL.Query()
	placed, err := s.o.Orders.Placed(r.Context())
	if err != nil {
		return err
	}
	p := whatIfPage{frame: s.frame(r, "What if …", "board"), Today: v.Document.Today, Offers: slices.Clone(offers)}
	p.lists(v, q, placed)
	status := http.StatusOK
	if q.Has("kind") {
		status, err = s.ask(r, v, q, placed, &p)
		if err != nil {
			return err
		}
	}
	s.render(w, r, status, "what_if", p)
	return nil
}

func (p *whatIfPage) lists(v *view, q url.Values, placed []OrderState) {
	for _, c := range v.Document.Crews {
		p.Crews = append(p.Crews, choice{c.Key, v.x.CrewName(c.Key), c.Key == q.Get("crew")})
	}
	for _, r := range v.Document.Rooms {
		p.Rooms = append(p.Rooms, choice{r.Key, v.jobName(r.Job) + ", " + r.Name, r.Key == q.Get("room")})
	}
	for _, s := range v.Document.Suppliers {
		p.Suppliers = append(p.Suppliers, choice{s.Key, s.Name, s.Key == q.Get("supplier")})
	}
	for _, b := range v.book(placed) {
		if b.state.State == "placed" || b.state.State == "confirmed" {
			e := v.orderEntry(b)
			name := fmt.Sprintf("%s, %s, due %s", b.name(), e.Supplier, e.Delivery)
			p.Orders = append(p.Orders, choice{b.Key, name, b.Key == q.Get("order")})
		}
	}
	// With nothing on its way no order can be late.
	p.Offers = slices.DeleteFunc(p.Offers, func(o offer) bool { return o.Order && len(p.Orders) == 0 })
	for i := range p.Offers {
		o := &p.Offers[i]
		o.Texts = slices.Clone(o.Texts)
		for _, c := range v.Document.Crews {
			for _, name := range v.x.PeopleOf(c.Key) {
				if o.Kind == "person away" {
					o.Texts = append(o.Texts, choice{Key: name, Name: name + ", " + v.x.CrewName(c.Key)})
				}
			}
		}
		for k := range o.Texts {
			o.Texts[k].Chosen = o.Kind == q.Get("kind") && o.Texts[k].Key == q.Get("text")
		}
		o.ChosenFrom, o.ChosenTo, o.ChosenCount = p.Today, p.Today, "1"
		if o.Kind == q.Get("kind") {
			o.Open = true
			o.ChosenFrom, o.ChosenTo, o.ChosenCount = q.Get("from"), q.Get("to"), q.Get("count")
		}
	}
}

// ask puts the question; a refusal is shown on the page.
func (s *server) ask(r *http.Request, v *view, q url.Values, placed []OrderState, p *whatIfPage) (int, error) {
	c, err := readChange(q, v.x)
	var a Answer
	if err == nil {
		a, err = s.o.Outlook.WhatIf(r.Context(), c)
	}
	if known, ok := err.(*Error); ok {
		p.Trouble = known.Text
		return statuses[known.Kind], nil
	}
	if err != nil {
		return 0, err
	}
	p.Answered, p.Answer, p.Asked = true, a.Text, c.words(v, placed)
	for _, sh := range a.Rooms {
		p.Shifts = append(p.Shifts, v.shiftRow(sh))
	}
	return http.StatusOK, nil
}

// readChange reads a question and checks what its kind needs.
func readChange(q url.Values, x *plandoc.Index) (Change, error) {
	c := Change{Kind: q.Get("kind"), Crew: q.Get("crew"), Room: q.Get("room"), Supplier: q.Get("supplier"), Order: q.Get("order"), Text: q.Get("text"), From: q.Get("from"), To: q.Get("to")}
	i := slices.IndexFunc(offers, func(o offer) bool { return o.Kind == c.Kind })
	if i < 0 {
		return c, &Error{Kind: Invalid, Field: "kind", Text: fmt.Sprintf("There is no question %q.", c.Kind)}
	}
	o := offers[i]
	for _, need := range []struct {
		needed bool
		field  string
		name   string
		value  *string
		date   bool
	}{{o.Crew, "crew", "crew", &c.Crew, false}, {o.Room, "room", "room", &c.Room, false}, {o.Supplier, "supplier", "supplier", &c.Supplier, false}, {o.Order, "order", "order", &c.Order, false}, {o.From, "from", "first day", &c.From, true}, {o.To, "to", "last day", &c.To, true}} {
		switch _, err := time.Parse(time.DateOnly, *need.value); {
		case !need.needed:
			*need.value = ""
		case *need.value == "":
			return c, &Error{Kind: Invalid, Field: need.field, Text: "Choose the " + need.name + "."}
		case need.date && err != nil:
			return c, &Error{Kind: Invalid, Field: need.field, Text: fmt.Sprintf("The %s %q is not of the form 2026-03-04.", need.name, *need.value)}
		}
	}
	if len(o.Texts) == 0 {
		c.Text = ""
	} else if named := c.Kind == "person away" && slices.Contains(x.PeopleOf(c.Crew), c.Text); !named && !slices.ContainsFunc(o.Texts, func(t choice) bool { return t.Key == c.Text }) {
		return c, &Error{Kind: Invalid, Field: "text", Text: fmt.Sprintf("%s: choose one; %q is none of them.", o.TextLabel, c.Text)}
	}
	if o.To && c.To < c.From {
		return c, &Error{Kind: Invalid, Field: "to", Text: "The last day lies before the first."}
	}
	if o.Count {
		n, err := strconv.Atoi(strings.ReplaceAll(strings.TrimSpace(q.Get("count")), "−", "-"))
		if err != nil || n == 0 || n < -100 || n > 365 {
			return c, &Error{Kind: Invalid, Field: "count", Text: fmt.Sprintf("%q is not a whole number from -100 to 365 other than 0.", q.Get("count"))}
		}
		c.Count = n
	}
	return c, nil
}

// words writes a question out.
func (c Change) words(v *view, placed []OrderState) string {
	parts := []string{c.Kind}
	if c.Crew != "" {
		parts = append(parts, v.x.CrewName(c.Crew))
	}
	if c.Room != "" {
		parts = append(parts, v.x.RoomName(c.Room))
	}
	if s := v.x.Suppliers[c.Supplier]; s != nil {
		parts = append(parts, s.Name)
	}
	for _, b := range v.book(placed) {
		if c.Order != "" && b.Key == c.Order && b.state.State != "cancelled" {
			parts = append(parts, b.name())
		}
	}
	if c.Text != "" {
		parts = append(parts, c.Text)
	}
	if c.Count != 0 {
		parts = append(parts, fmt.Sprintf("%+d", c.Count))
	}
	if c.From != "" {
		parts = append(parts, v.w.ShortDay(c.From))
	}
	if c.To != "" && c.To != c.From {
		parts = append(parts, "to "+v.w.ShortDay(c.To))
	}
	return strings.Join(parts, ", ")
}
