package web

import (
	"context"
	"net/http"
	"strconv"
	"time"

	"github.com/danielgtaylor/huma/v2"
)

type apiOrder struct {
	Key      string         `json:"key" doc:"the plan's name for the order; a draft goes by it"`
	Number   *int64         `json:"number" doc:"the firm's count of orders, printed on the order; null until placed"`
	State    string         `json:"state" enum:"draft,placed,confirmed,part received,received,closed,cancelled"`
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
	Order string `path:"order" doc:"the order's number, or its key"`
}

type orderOut struct{ Body apiOrder }

type placeIn struct {
	Order string `path:"order" doc:"the order's number, or its key"`
	Body  struct {
		Key  string `json:"key" minLength:"8" maxLength:"200" doc:"idempotency key: the same key places the order once"`
		Note string `json:"note,omitempty" maxLength:"4000"`
	}
}

type receiptIn struct {
	Order string `path:"order" doc:"the order's number, or its key"`
	Body  struct {
		Key   string        `json:"key" minLength:"8" maxLength:"200" doc:"idempotency key"`
		Date  string        `json:"date" format:"date"`
		Note  string        `json:"note,omitempty" maxLength:"4000"`
		Lies  string        `json:"lies,omitempty" enum:"site,yard" doc:"where the goods lie; left out, on the site that the order names, if it names one"`
		Lines []receiptLine `json:"lines" minItems:"1" nullable:"false"`
	}
}

type receiptLine struct {
	Product    string  `json:"product" minLength:"1"`
	Lot        string  `json:"lot,omitempty"`
	Calibre    string  `json:"calibre,omitempty"`
	Packages   float64 `json:"packages" exclusiveMinimum:"0" maximum:"1000000"`
	Damaged    float64 `json:"damaged,omitempty" minimum:"0" doc:"of the packages, those damaged and not kept"`
	Wrong      float64 `json:"wrong,omitempty" minimum:"0" doc:"of the packages, those that are not what was ordered and go back"`
	MeanWidth  string  `json:"mean_width,omitempty" maxLength:"40" doc:"measured mean width of the lot's tiles, with its unit: 298.5 mm"`
	MeanHeight string  `json:"mean_height,omitempty" maxLength:"40" doc:"measured mean height of the lot's tiles"`
}

func (s *server) apiOrders(a huma.API) {
	operation(s, a, http.MethodGet, "/orders", "list-orders", "Purchase orders: the drafts of the plan, then those placed, the latest first", desk, func(ctx context.Context, _ *nothing) (*ordersOut, error) {
		v, err := s.current(ctx)
		if err != nil {
			return nil, err
		}
		placed, err := s.o.Orders.Placed(ctx)
		if err != nil {
			return nil, err
		}
		out := &ordersOut{}
		out.Body.Orders = []apiOrder{}
		for _, b := range v.book(placed) {
			out.Body.Orders = append(out.Body.Orders, apiOrderOf(b))
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
	operation(s, a, http.MethodPost, "/orders/{order}/step", "step-order", "Confirm, close or cancel an order that has been placed; the supplier is told of a cancellation", desk, s.apiStep)
	operation(s, a, http.MethodGet, "/orders/{order}/lot", "look-at-lot", "What taking another lot for a line of tile would change; nothing is saved", desk, s.apiOtherLot)
	operation(s, a, http.MethodPost, "/orders/{order}/lot", "take-lot", "Take another lot for a line, after its effect was looked at: an order that was placed is changed and its supplier told, a draft is placed", desk, s.apiTakeLot)
	operation(s, a, http.MethodPost, "/orders/{order}/adjust", "adjust-order", "Make a change that the plan asks for in an order that stands; the supplier is told of what changes", desk, s.apiAdjust)
}

type stepIn struct {
	Order string `path:"order" doc:"the order's number, or its key"`
	Body  struct {
		To       string `json:"to" enum:"confirmed,closed,cancelled"`
		Delivery string `json:"delivery,omitempty" format:"date" doc:"as the supplier confirms it"`
		Note     string `json:"note,omitempty" maxLength:"4000"`
	}
}

func (s *server) apiStep(ctx context.Context, in *stepIn) (*orderOut, error) {
	if _, err := s.apiOrder(ctx, in.Order); err != nil {
		return nil, err
	}
	step := StepIn{Order: in.Order, To: in.Body.To, Date: in.Body.Delivery, By: *userOf(ctx), Note: in.Body.Note}
	if err := step.check(); err != nil {
		return nil, err
	}
	if err := s.o.Orders.Step(ctx, step); err != nil {
		return nil, err
	}
	return s.apiOrder(ctx, in.Order)
}

type adjustIn struct {
	Order string `path:"order" doc:"the order's number, or its key"`
	Body  struct {
		Key      string  `json:"key" minLength:"8" maxLength:"100" doc:"idempotency key of a return"`
		Kind     string  `json:"kind" enum:"reduce,add,return"`
		Product  string  `json:"product" minLength:"1"`
		Lot      string  `json:"lot,omitempty"`
		Quantity float64 `json:"quantity" exclusiveMinimum:"0" maximum:"1000000" doc:"packages, as the plan's change says"`
		Note     string  `json:"note,omitempty" maxLength:"4000"`
	}
}

func (s *server) apiAdjust(ctx context.Context, in *adjustIn) (*orderOut, error) {
	if _, err := s.apiOrder(ctx, in.Order); err != nil {
		return nil, err
	}
	b := in.Body
	if err := s.o.Orders.Adjust(ctx, AdjustIn{Key: b.Key, Order: in.Order, Kind: b.Kind, Product: b.Product, Lot: b.Lot, Quantity: b.Quantity, By: *userOf(ctx), Note: b.Note}); err != nil {
		return nil, err
	}
	return s.apiOrder(ctx, in.Order)
}

func (s *server) apiReceive(ctx context.Context, in *receiptIn) (*orderOut, error) {
	if _, err := s.apiOrder(ctx, in.Order); err != nil {
		return nil, err
	}
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	receive := ReceiveIn{Key: in.Body.Key, Order: in.Order, By: *userOf(ctx), At: s.o.Now(), Date: in.Body.Date, Note: in.Body.Note, Yard: in.Body.Lies == inYard}
	if _, err := time.Parse(time.DateOnly, in.Body.Date); err != nil {
		return nil, &Error{Kind: Invalid, Field: "date", Text: "The day of delivery is not of the form 2026-03-04."}
	}
	for _, l := range in.Body.Lines {
		line := ReceiveLine{Product: l.Product, Lot: l.Lot, Calibre: l.Calibre, Packages: l.Packages, Damaged: l.Damaged, Wrong: l.Wrong}
		if err := v.readMean(&line, l.MeanWidth, l.MeanHeight); err != nil {
			return nil, err
		}
		if err := v.checkReceived(line); err != nil {
			return nil, err
		}
		receive.Lines = append(receive.Lines, line)
	}
	if err := s.o.Orders.Receive(ctx, receive); err != nil {
		return nil, err
	}
	return s.apiOrder(ctx, in.Order)
}

func (s *server) apiOrder(ctx context.Context, name string) (*orderOut, error) {
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	placed, err := s.o.Orders.Placed(ctx)
	if err != nil {
		return nil, err
	}
	b, err := v.find(placed, name)
	if err != nil {
		return nil, err
	}
	return &orderOut{Body: apiOrderOf(b)}, nil
}

func apiOrderOf(o booked) apiOrder {
	out := apiOrder{Key: o.Key, State: o.state.State, Supplier: o.Supplier, OrderBy: o.OrderBy, Delivery: o.Delivery, Ready: o.Ready, NeedBy: o.NeedBy, Late: o.Late, Currency: o.Currency, Total: money(o.Total.String()), Lines: []apiOrderLine{}}
	if n, err := strconv.ParseInt(o.state.Number, 10, 64); err == nil {
		out.Number = &n
	}
	for _, l := range o.Lines {
		out.Lines = append(out.Lines, apiOrderLine{Product: deref(l.Product), Text: l.Text, Lot: deref(l.Lot), Quantity: l.Quantity, Unit: l.Unit, UnitPrice: money(l.UnitPrice.String()), Amount: money(l.Amount.String())})
	}
	return out
}
