package web

import (
	"context"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"potlife/cmd/potlife/internal/plandoc"
)

type apiOrder struct {
	Key      string         `json:"key"`
	Number   string         `json:"number" doc:"empty until placed"`
	State    string         `json:"state"`
	Supplier string         `json:"supplier"`
	OrderBy  string         `json:"order_by"`
	Delivery string         `json:"delivery"`
	Ready    string         `json:"ready"`
	NeedBy   string         `json:"need_by"`
	Late     bool           `json:"late"`
	Currency string         `json:"currency"`
	Total    string         `json:"total" doc:"decimal"`
	Lines    []apiOrderLine `json:"lines" nullable:"false"`
}

type apiOrderLine struct {
	Product   string  `json:"product" doc:"empty for freight"`
	Text      string  `json:"text"`
	Lot       string  `json:"lot"`
	Quantity  float64 `json:"quantity"`
	Unit      string  `json:"unit"`
	UnitPrice string  `json:"unit_price"`
	Amount    string  `json:"amount"`
}

type ordersOut struct {
	Body struct {
		Orders []apiOrder `json:"orders" nullable:"false"`
	}
}

type orderIn struct {
	Order string `path:"order"`
}

type orderOut struct{ Body apiOrder }

type placeIn struct {
	Order string `path:"order"`
	Body  struct {
		Key  string `json:"key" minLength:"8" maxLength:"200" doc:"idempotency key: the same key places the order once"`
		Note string `json:"note,omitempty" maxLength:"4000"`
	}
}

type receiptIn struct {
	Order string `path:"order"`
	Body  struct {
		Key   string        `json:"key" minLength:"8" maxLength:"200" doc:"idempotency key"`
		Date  string        `json:"date" format:"date"`
		Note  string        `json:"note,omitempty" maxLength:"4000"`
		Lines []receiptLine `json:"lines" minItems:"1" nullable:"false"`
	}
}

type receiptLine struct {
	Product  string  `json:"product" minLength:"1"`
	Lot      string  `json:"lot,omitempty"`
	Calibre  string  `json:"calibre,omitempty"`
	Packages float64 `json:"packages" exclusiveMinimum:"0" maximum:"1000000"`
	Damaged  float64 `json:"damaged,omitempty" minimum:"0"`
}

func (s *server) apiOrders(a huma.API) {
	operation(s, a, http.MethodGet, "/orders", "list-orders", "Purchase orders with their state", desk, func(ctx context.Context, _ *nothing) (*ordersOut, error) {
		v, err := s.current(ctx)
		if err != nil {
			return nil, err
		}
		states, err := s.o.Orders.States(ctx)
		if err != nil {
			return nil, err
		}
		out := &ordersOut{}
		out.Body.Orders = []apiOrder{}
		for i := range v.Document.Orders {
			out.Body.Orders = append(out.Body.Orders, apiOrderOf(&v.Document.Orders[i], states))
		}
		return out, nil
	})
	operation(s, a, http.MethodGet, "/orders/{order}", "get-order", "One purchase order", desk, func(ctx context.Context, in *orderIn) (*orderOut, error) { return s.apiOrder(ctx, in.Order) })
	operation(s, a, http.MethodPost, "/orders/{order}/place", "place-order", "Place a purchase order", desk, func(ctx context.Context, in *placeIn) (*orderOut, error) {
		if _, err := s.apiOrder(ctx, in.Order); err != nil {
			return nil, err
		}
		if err := s.o.Orders.Place(ctx, PlaceIn{Key: in.Body.Key, Order: in.Order, By: *userOf(ctx), At: s.o.Now(), Note: in.Body.Note}); err != nil {
			return nil, err
		}
		return s.apiOrder(ctx, in.Order)
	})
	operation(s, a, http.MethodPost, "/orders/{order}/receipts", "receive-order", "Book a delivery of a purchase order", desk, s.apiReceive)
}

func (s *server) apiReceive(ctx context.Context, in *receiptIn) (*orderOut, error) {
	if _, err := s.apiOrder(ctx, in.Order); err != nil {
		return nil, err
	}
	receive := ReceiveIn{Key: in.Body.Key, Order: in.Order, By: *userOf(ctx), At: s.o.Now(), Date: in.Body.Date, Note: in.Body.Note}
	if _, err := time.Parse(time.DateOnly, in.Body.Date); err != nil {
		return nil, &Error{Kind: Invalid, Field: "date", Text: "The day of delivery is not of the form 2026-03-04."}
	}
	for _, l := range in.Body.Lines {
		if l.Damaged > l.Packages {
			return nil, &Error{Kind: Invalid, Field: "lines", Text: l.Product + ": more is damaged than came."}
		}
		receive.Lines = append(receive.Lines, ReceiveLine(l))
	}
	if err := s.o.Orders.Receive(ctx, receive); err != nil {
		return nil, err
	}
	return s.apiOrder(ctx, in.Order)
}

func (s *server) apiOrder(ctx context.Context, key string) (*orderOut, error) {
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	o := v.x.Orders[key]
	if o == nil {
		return nil, &Error{Kind: NotFound, Text: "There is no order " + key + " in the plan."}
	}
	states, err := s.o.Orders.States(ctx)
	if err != nil {
		return nil, err
	}
	return &orderOut{Body: apiOrderOf(o, states)}, nil
}

func apiOrderOf(o *plandoc.Order, states map[string]OrderState) apiOrder {
	out := apiOrder{Key: o.Key, State: "draft", Supplier: o.Supplier, OrderBy: o.OrderBy, Delivery: o.Delivery, Ready: o.Ready, NeedBy: o.NeedBy, Late: o.Late, Currency: o.Currency, Total: money(o.Total.String()), Lines: []apiOrderLine{}}
	if st, ok := states[o.Key]; ok {
		out.State, out.Number = st.State, st.Number
	}
	for _, l := range o.Lines {
		out.Lines = append(out.Lines, apiOrderLine{Product: deref(l.Product), Text: l.Text, Lot: deref(l.Lot), Quantity: l.Quantity, Unit: l.Unit, UnitPrice: money(l.UnitPrice.String()), Amount: money(l.Amount.String())})
	}
	return out
}
