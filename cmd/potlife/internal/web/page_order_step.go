package web

import (
	"net/http"
	"slices"
	"strings"
	"time"
)

// nextSteps are the steps an order can take from a state, beside deliveries.
var nextSteps = map[string][]string{
	"placed":        {"confirmed", "cancelled"},
	"confirmed":     {"cancelled"},
	"part received": {"closed"},
	"received":      {"closed"},
}

// stepOrder confirms, closes or cancels an order that has been placed.
func (s *server) stepOrder(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return unreadable(err)
	}
	_, o, err := s.orderOf(r)
	if err != nil {
		return err
	}
	f := r.PostForm
	in := StepIn{Order: o.name(), To: f.Get("to"), Date: strings.TrimSpace(f.Get("delivery")), By: *userOf(r.Context()), Note: strings.TrimSpace(f.Get("note"))}
	if err := in.check(); err != nil {
		return s.orderAgain(w, r, err)
	}
	if err := s.o.Orders.Step(r.Context(), in); err != nil {
		return s.orderAgain(w, r, err)
	}
	s.notice(r, "Order "+o.name()+" is "+in.To+".")
	http.Redirect(w, r, path("orders", o.name()), http.StatusSeeOther)
	return nil
}

func (in StepIn) check() error {
	if !slices.Contains([]string{"confirmed", "closed", "cancelled"}, in.To) {
		return &Error{Kind: Invalid, Field: "to", Text: "An order can be confirmed, closed or cancelled."}
	}
	if in.Date == "" {
		return nil
	}
	if _, err := time.Parse(time.DateOnly, in.Date); err != nil {
		return &Error{Kind: Invalid, Field: "delivery", Text: "The day of delivery is not of the form 2026-03-04."}
	}
	return nil
}

// adjustOrder makes a change that the plan asks for.
func (s *server) adjustOrder(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return unreadable(err)
	}
	v, o, err := s.orderOf(r)
	if err != nil {
		return err
	}
	f := r.PostForm
	in := AdjustIn{Key: formKey(r), Order: o.name(), Kind: f.Get("kind"), Product: f.Get("product"), Lot: f.Get("lot"), By: *userOf(r.Context()), Note: strings.TrimSpace(f.Get("note"))}
	if in.Key == "" {
		return &Error{Kind: Invalid, Field: "key", Text: "The form lacks its key. Open the order again and send it from there."}
	}
	if in.Quantity, err = readCount("quantity", v.x.ProductName(in.Product), f.Get("quantity")); err == nil {
		err = s.o.Orders.Adjust(r.Context(), in)
	}
	if err != nil {
		return s.orderAgain(w, r, err)
	}
	s.notice(r, "Order "+o.name()+" is changed.")
	http.Redirect(w, r, path("orders", o.name()), http.StatusSeeOther)
	return nil
}
