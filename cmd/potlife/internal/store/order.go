package store

import (
	"context"
	"encoding/json"
	"reflect"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/rooms"
	"potlife/takeoff"
)

// States of a purchase order.
const (
	OrderPlaced       = "placed"
	OrderConfirmed    = "confirmed"
	OrderPartReceived = "part received"
	OrderReceived     = "received"
	OrderClosed       = "closed"
	OrderCancelled    = "cancelled"
)

// orderSteps are the states that an order may go to from each state.
var orderSteps = map[string][]string{
	OrderPlaced:       {OrderConfirmed, OrderPartReceived, OrderReceived, OrderCancelled},
	OrderConfirmed:    {OrderConfirmed, OrderPartReceived, OrderReceived, OrderCancelled},
	OrderPartReceived: {OrderPartReceived, OrderReceived, OrderClosed},
	OrderReceived:     {OrderClosed},
}

// Order is a purchase order that has been placed.
type Order struct {
	// Number is printed on it; orders count 1, 2, 3, … without gaps.
	Number int64
	State  string
	// Order is the order as it was placed; Delivery as the supplier has confirmed
	// it since.
	takeoff.Order
	Events   []OrderEvent
	Receipts []Receipt
}

// OrderEvent is a step of an order.
type OrderEvent struct {
	At    time.Time `db:"at"`
	Who   string    `db:"who"`
	State string    `db:"state"`
	Note  string    `db:"note"`
}

type orderRow struct {
	Number    int64           `db:"number"`
	Key       string          `db:"key"`
	Supplier  string          `db:"supplier"`
	State     string          `db:"state"`
	NeedBy    day             `db:"need_by"`
	OrderBy   day             `db:"order_by"`
	Delivery  day             `db:"delivery"`
	Ready     day             `db:"ready"`
	Currency  string          `db:"currency"`
	Total     amount          `db:"total"`
	Late      bool            `db:"late"`
	Rooms     []string        `db:"rooms"`
	WhyMerged string          `db:"why_merged"`
	Notes     string          `db:"notes"`
	More      json.RawMessage `db:"more"`
}

var orderTable = relation[orderRow]{"orders", []string{"number"}}

func newOrderRow(number int64, o takeoff.Order) (orderRow, error) {
	r := orderRow{Number: number, Key: o.Key, Supplier: o.Supplier, State: OrderPlaced, NeedBy: day(o.NeedBy), OrderBy: day(o.OrderBy),
		Delivery: day(o.Delivery), Ready: day(o.Ready), Currency: o.Currency, Total: amount(o.Total), Late: o.Late, Rooms: o.Rooms,
		WhyMerged: o.WhyMerged, Notes: o.Notes}
	o.Lines = nil
	back, err := r.order()
	if err != nil {
		return r, err
	}
	r.More, err = more(o, back)
	return r, err
}

func (r orderRow) order() (takeoff.Order, error) {
	o := takeoff.Order{Key: r.Key, Supplier: r.Supplier, NeedBy: rooms.Date(r.NeedBy), OrderBy: rooms.Date(r.OrderBy),
		Delivery: rooms.Date(r.Delivery), Ready: rooms.Date(r.Ready), Currency: r.Currency, Total: takeoff.Money(r.Total), Late: r.Late,
		Rooms: r.Rooms, WhyMerged: r.WhyMerged, Notes: r.Notes}
	return o, andMore(&o, r.More)
}

type orderLineRow struct {
	Order     int64           `db:"purchase_order"`
	Pos       int             `db:"pos"`
	Product   *string         `db:"product"`
	Lot       string          `db:"lot"`
	Text      string          `db:"text"`
	Quantity  float64         `db:"quantity"`
	Unit      string          `db:"unit"`
	UnitPrice amount          `db:"unit_price"`
	Amount    amount          `db:"amount"`
	NeedBy    day             `db:"need_by"`
	Rooms     []string        `db:"rooms"`
	More      json.RawMessage `db:"more"`
}

var orderLineTable = relation[orderLineRow]{"order_lines", []string{"purchase_order", "pos"}}

func newOrderLineRow(order int64, pos int, l takeoff.OrderLine) (orderLineRow, error) {
	r := orderLineRow{Order: order, Pos: pos, Product: orNull(l.Product), Lot: l.Lot, Text: l.Text, Quantity: l.Quantity, Unit: l.Unit,
		UnitPrice: amount(l.UnitPrice), Amount: amount(l.Amount), NeedBy: day(l.NeedBy), Rooms: l.Rooms}
	back, err := r.line()
	if err != nil {
		return r, err
	}
	r.More, err = more(l, back)
	return r, err
}

func (r orderLineRow) line() (takeoff.OrderLine, error) {
	l := takeoff.OrderLine{Product: orEmpty(r.Product), Lot: r.Lot, Text: r.Text, Quantity: r.Quantity, Unit: r.Unit,
		UnitPrice: takeoff.Money(r.UnitPrice), Amount: takeoff.Money(r.Amount), NeedBy: rooms.Date(r.NeedBy), Rooms: r.Rooms}
	return l, andMore(&l, r.More)
}

// PlaceOrder places an order of the plan and gives it the next number. Placing
// the same again returns the order as it stands. ErrConflict: its key was placed
// with another content. ErrInvalid: the lines do not come to the total.
// When it is new, the messages that letters writes of it go out (an e-mail to the
// supplier); letters may be nil. A key under which an order was cancelled may be
// placed anew.
func (s *Store) PlaceOrder(ctx context.Context, o takeoff.Order, who string, letters func(*Order) ([]Message, error), now time.Time) (*Order, error) {
	return s.place(ctx, o, who, letters, now, func(pgx.Tx) error { return nil })
}

// place is PlaceOrder of what may refuses nothing of.
func (s *Store) place(ctx context.Context, o takeoff.Order, who string, letters func(*Order) ([]Message, error), now time.Time, may func(pgx.Tx) error) (*Order, error) {
	var out *Order
	err := s.write(ctx, func(tx pgx.Tx) error {
		// The counter's row makes all who place orders wait in line.
		number, err := next(ctx, tx, "order")
		if err != nil {
			return err
		}
		before, err := loadOrders(ctx, tx, "key = $1 AND state <> 'cancelled'", o.Key)
		if err != nil {
			return err
		}
		if len(before) > 0 {
			if out = &before[0]; !sameOrder(out.Order, o) {
				return conflict("Order %s was placed before, as number %d, with another content. Look at the orders again.", o.Key, out.Number)
			}
			return giveBack(ctx, tx, "order")
		}
		if err := may(tx); err != nil {
			return err
		}
		if err := insertOrder(ctx, tx, number, o); err != nil {
			return err
		}
		if err := addEvent(ctx, tx, number, OrderEvent{At: now, Who: who, State: OrderPlaced}); err != nil {
			return err
		}
		placed, err := loadOrders(ctx, tx, "number = $1", number)
		if err != nil {
			return err
		}
		out = &placed[0]
		return enqueueLetters(ctx, tx, out, letters, now)
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// enqueueLetters puts what letters writes of an order into the outbox; nil writes nothing.
func enqueueLetters(ctx context.Context, tx pgx.Tx, o *Order, letters func(*Order) ([]Message, error), now time.Time) error {
	if letters == nil {
		return nil
	}
	messages, err := letters(o)
	if err != nil {
		return err
	}
	return enqueue(ctx, tx, messages, now)
}

// sameOrder compares what is ordered; the delivery may have been confirmed for
// another day since.
func sameOrder(a, b takeoff.Order) bool {
	return a.Supplier == b.Supplier && a.Currency == b.Currency && a.Total == b.Total && reflect.DeepEqual(a.Lines, b.Lines)
}

func insertOrder(ctx context.Context, tx pgx.Tx, number int64, o takeoff.Order) error {
	row, err := newOrderRow(number, o)
	if err != nil {
		return err
	}
	var total takeoff.Money
	var lines []orderLineRow
	for i, l := range o.Lines {
		r, err := newOrderLineRow(number, i, l)
		if err != nil {
			return err
		}
		lines = append(lines, r)
		total += l.Amount
	}
	if total != o.Total {
		return invalid("order %s: its lines come to %s and its total is %s", o.Key, money(total), money(o.Total))
	}
	if err := orderTable.insert(ctx, tx, []orderRow{row}); err != nil {
		return err
	}
	return orderLineTable.insert(ctx, tx, lines)
}

func addEvent(ctx context.Context, tx pgx.Tx, number int64, e OrderEvent) error {
	_, err := tx.Exec(ctx, `
		INSERT INTO order_events (purchase_order, seq, at, who, state, note)
		SELECT $1, coalesce(max(seq), 0) + 1, $2, $3, $4, $5 FROM order_events WHERE purchase_order = $1`,
		number, e.At, e.Who, e.State, e.Note)
	return err
}

// ConfirmOrder records that the supplier has confirmed, for delivery on a day
// (zero: as asked).
func (s *Store) ConfirmOrder(ctx context.Context, number int64, delivery rooms.Date, who, note string, now time.Time) error {
	return s.step(ctx, number, OrderConfirmed, who, note, now, nil, func(tx pgx.Tx) error {
		if delivery.IsZero() {
			return nil
		}
		// Ready keeps its distance: time to open, check and acclimatise.
		_, err := tx.Exec(ctx, `
			UPDATE orders SET delivery = $2::date, ready = ready + ($2::date - delivery) WHERE number = $1`, number, day(delivery))
		return err
	})
}

// CancelOrder takes an order back of which nothing has come yet. What letters
// writes of it goes out; letters may be nil.
func (s *Store) CancelOrder(ctx context.Context, number int64, who, note string, letters func(*Order) ([]Message, error), now time.Time) error {
	return s.step(ctx, number, OrderCancelled, who, note, now, letters, nil)
}

// CloseOrder ends an order: paid, or the rest will not come any more.
func (s *Store) CloseOrder(ctx context.Context, number int64, who, note string, now time.Time) error {
	return s.step(ctx, number, OrderClosed, who, note, now, nil, nil)
}

// step takes an order to a state if it may go there.
func (s *Store) step(ctx context.Context, number int64, to, who, note string, now time.Time, letters func(*Order) ([]Message, error), also func(tx pgx.Tx) error) error {
	return s.write(ctx, func(tx pgx.Tx) error {
		state, err := lockOrder(ctx, tx, number)
		if err != nil {
			return err
		}
		if err := setState(ctx, tx, number, state, to); err != nil {
			return err
		}
		if also != nil {
			if err := also(tx); err != nil {
				return err
			}
		}
		if err := addEvent(ctx, tx, number, OrderEvent{At: now, Who: who, State: to, Note: note}); err != nil || letters == nil {
			return err
		}
		orders, err := loadOrders(ctx, tx, "number = $1", number)
		if err != nil {
			return err
		}
		return enqueueLetters(ctx, tx, &orders[0], letters, now)
	})
}

// lockOrder makes everybody else who changes the order wait and returns its
// state.
func lockOrder(ctx context.Context, tx pgx.Tx, number int64) (state string, err error) {
	err = tx.QueryRow(ctx, `SELECT state FROM orders WHERE number = $1 FOR UPDATE`, number).Scan(&state)
	if err == pgx.ErrNoRows {
		err = notFound("there is no order %d", number)
	}
	return state, err
}

func setState(ctx context.Context, tx pgx.Tx, number int64, from, to string) error {
	for _, s := range orderSteps[from] {
		if s == to {
			_, err := tx.Exec(ctx, `UPDATE orders SET state = $2 WHERE number = $1`, number, to)
			return err
		}
	}
	return conflict("Order %d is %s and cannot become %s.", number, from, to)
}

// Order returns an order with its history. ErrNotFound: there is none of that
// number.
func (s *Store) Order(ctx context.Context, number int64) (*Order, error) {
	orders, err := s.orders(ctx, "number = $1", number)
	if err != nil {
		return nil, err
	}
	if len(orders) == 0 {
		return nil, notFound("there is no order %d", number)
	}
	return &orders[0], nil
}

// Orders lists all orders with their history, by number.
func (s *Store) Orders(ctx context.Context) ([]Order, error) { return s.orders(ctx, "true") }

// Placed lists the orders that count for planning, as far as they still bring
// something: all but the cancelled ones, less what went back; of a closed one
// what came of it, for no more will.
func (s *Store) Placed(ctx context.Context) ([]takeoff.Order, error) {
	var out []takeoff.Order
	err := s.read(ctx, func(tx pgx.Tx) error {
		out = nil
		orders, err := loadOrders(ctx, tx, "state <> 'cancelled'")
		if err != nil {
			return err
		}
		for i := range orders {
			if orders[i].State == OrderClosed {
				orders[i].leaveWhatCame()
			}
		}
		if err := withoutReturns(ctx, tx, orders); err != nil {
			return err
		}
		for _, o := range orders {
			out = append(out, o.Order)
		}
		return nil
	})
	return out, err
}

// leaveWhatCame cuts the lines of an order down to what has been booked in.
func (o *Order) leaveWhatCame() {
	came := map[int]float64{}
	for _, r := range o.Receipts {
		came[r.Line] += r.Packages
	}
	for i := range o.Lines {
		if l := &o.Lines[i]; l.Product != "" && came[i] < l.Quantity {
			was := l.Amount
			l.Quantity = came[i]
			l.Amount = takeoff.Amount(int(l.Quantity), l.UnitPrice)
			o.Total += l.Amount - was
		}
	}
}

func (s *Store) orders(ctx context.Context, where string, args ...any) ([]Order, error) {
	var out []Order
	err := s.read(ctx, func(tx pgx.Tx) (err error) {
		out, err = loadOrders(ctx, tx, where, args...)
		return err
	})
	return out, err
}

func loadOrders(ctx context.Context, tx pgx.Tx, where string, args ...any) ([]Order, error) {
	rows, err := orderTable.list(ctx, tx, where, "number", args...)
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	numbers := []int64{}
	for _, r := range rows {
		numbers = append(numbers, r.Number)
	}
	lineRows, err := orderLineTable.list(ctx, tx, "purchase_order = ANY($1)", "purchase_order, pos", numbers)
	if err != nil {
		return nil, err
	}
	lines := map[int64][]takeoff.OrderLine{}
	for _, r := range lineRows {
		l, err := r.line()
		if err != nil {
			return nil, err
		}
		lines[r.Order] = append(lines[r.Order], l)
	}
	events, err := loadEvents(ctx, tx, numbers)
	if err != nil {
		return nil, err
	}
	receipts, err := loadReceipts(ctx, tx, numbers)
	if err != nil {
		return nil, err
	}
	var out []Order
	for _, r := range rows {
		o := Order{Number: r.Number, State: r.State, Events: events[r.Number], Receipts: receipts[r.Number]}
		if o.Order, err = r.order(); err != nil {
			return nil, err
		}
		o.Lines = lines[r.Number]
		out = append(out, o)
	}
	return out, nil
}

func loadEvents(ctx context.Context, tx pgx.Tx, numbers []int64) (map[int64][]OrderEvent, error) {
	rows, _ := tx.Query(ctx, `
		SELECT purchase_order, at, who, state, note FROM order_events WHERE purchase_order = ANY($1) ORDER BY purchase_order, seq`, numbers)
	out := map[int64][]OrderEvent{}
	var number int64
	var e OrderEvent
	_, err := pgx.ForEachRow(rows, []any{&number, &e.At, &e.Who, &e.State, &e.Note}, func() error {
		out[number] = append(out[number], e)
		return nil
	})
	return out, err
}
