package store

import (
	"cmp"
	"context"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/rooms"
	"potlife/takeoff"
)

// AmendOrder changes the lines of an order that is open: line i of lines takes
// the place of line i, further ones are added, and a line that is no longer
// wanted gets quantity and amount 0. What changed stands in the order's history
// in words, and what letters writes of it goes out; letters may be nil. wanted
// is as of PlaceSigned. ErrConflict: the order is not open, a line would fall
// below what has been received or become another product, lines are missing, a
// client has not signed.
func (s *Store) AmendOrder(ctx context.Context, number int64, lines []takeoff.OrderLine, wanted map[string]string, who, note string, letters func(*Order) ([]Message, error), now time.Time) (*Order, error) {
	return s.AmendSeen(ctx, number, nil, lines, wanted, who, note, letters, now)
}

// AmendSeen is AmendOrder of an order that still stands as seen, its lines as they
// were when the change was decided; ErrConflict where it does not.
func (s *Store) AmendSeen(ctx context.Context, number int64, seen, lines []takeoff.OrderLine, wanted map[string]string, who, note string, letters func(*Order) ([]Message, error), now time.Time) (*Order, error) {
	var out *Order
	err := s.write(ctx, func(tx pgx.Tx) error {
		state, err := lockOrder(ctx, tx, number)
		if err != nil {
			return err
		}
		switch state {
		case OrderPlaced, OrderConfirmed, OrderPartReceived:
		default:
			return conflict("Order %d is %s and cannot be changed any more.", number, state)
		}
		orders, err := loadOrders(ctx, tx, "number = $1", number)
		if err != nil {
			return err
		}
		if seen != nil && !reflect.DeepEqual(seen, orders[0].Lines) {
			return conflict("Order %d has changed since you looked at it. Look at it again.", number)
		}
		received, err := orderedLines(ctx, tx, number)
		if err != nil {
			return err
		}
		names, err := goodsNames(ctx, tx)
		if err != nil {
			return err
		}
		changes, err := amendments(&orders[0], lines, received, names)
		if err != nil {
			return err
		}
		if len(changes) > 0 {
			if err := signed(ctx, tx, wanted); err != nil {
				return err
			}
			if err := saveAmended(ctx, tx, number, lines); err != nil {
				return err
			}
			text := strings.TrimSpace(note + " " + strings.Join(changes, "; "))
			if err := addEvent(ctx, tx, number, OrderEvent{At: now, Who: who, State: state, Note: text}); err != nil {
				return err
			}
		}
		if orders, err = loadOrders(ctx, tx, "number = $1", number); err != nil {
			return err
		}
		out = &orders[0]
		if len(changes) == 0 {
			return nil
		}
		return enqueueLetters(ctx, tx, out, letters, now)
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// amendments says in words what differs, or why it may not.
func amendments(o *Order, lines []takeoff.OrderLine, received map[int]*orderedLine, names map[string]string) ([]string, error) {
	if len(lines) < len(o.Lines) {
		return nil, conflict("Order %d has %d lines and the change names %d; a line that is not wanted gets quantity 0.", o.Number, len(o.Lines), len(lines))
	}
	var out []string
	for i, l := range lines {
		name := nameOfLine(l, names)
		if i >= len(o.Lines) {
			added := fmt.Sprintf("line %d added: %s of %s", i+1, packages(l.Quantity, l.Unit), name)
			if l.Lot != "" {
				added += ", lot " + l.Lot
			}
			out = append(out, added)
			continue
		}
		old := o.Lines[i]
		if old.Product != l.Product || old.Unit != l.Unit {
			return nil, conflict("Order %d, line %d: %s by the %s cannot become %s by the %s; add a line.", o.Number, i+1,
				nameOfLine(old, names), old.Unit, name, l.Unit)
		}
		if have := received[i].sound; l.Quantity < have {
			return nil, conflict("Order %d, line %d: %s of %s have been received, so it cannot be %s.", o.Number, i+1,
				packages(have, l.Unit), name, packages(l.Quantity, l.Unit))
		}
		for _, w := range lineChanges(old, l) {
			out = append(out, fmt.Sprintf("line %d, %s: %s", i+1, name, w))
		}
	}
	return out, nil
}

// lineChanges are what differs between a line as it was and as it is.
func lineChanges(old, l takeoff.OrderLine) []string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if old.Quantity != l.Quantity {
		add("%s → %s", packages(old.Quantity, l.Unit), packages(l.Quantity, l.Unit))
	}
	if old.UnitPrice != l.UnitPrice {
		add("price %s → %s", money(old.UnitPrice), money(l.UnitPrice))
	}
	if old.Lot != l.Lot {
		add("lot %s → %s", orNone(old.Lot), orNone(l.Lot))
	}
	if old.NeedBy != l.NeedBy {
		add("needed by %s → %s", orNone(old.NeedBy.Words()), orNone(l.NeedBy.Words()))
	}
	if len(out) == 0 && (old.Text != l.Text || old.Amount != l.Amount) {
		add("text or amount")
	}
	return out
}

// packages is a number of packages in words: "3 boxes".
func packages(n float64, unit string) string {
	return strings.TrimSpace(rooms.Grouped(strconv.FormatFloat(n, 'f', -1, 64)) + " " + rooms.Plural(unit, n))
}

// nameOfLine is what people call the goods of a line.
func nameOfLine(l takeoff.OrderLine, names map[string]string) string {
	return cmp.Or(names[l.Product], l.Product, l.Text)
}

// goodsNames are the names of tiles and products, by key.
func goodsNames(ctx context.Context, tx pgx.Tx) (map[string]string, error) {
	rows, _ := tx.Query(ctx, `SELECT key, name FROM tiles UNION ALL SELECT key, name FROM products`)
	out := map[string]string{}
	var key, name string
	_, err := pgx.ForEachRow(rows, []any{&key, &name}, func() error { out[key] = name; return nil })
	return out, err
}

func saveAmended(ctx context.Context, tx pgx.Tx, number int64, lines []takeoff.OrderLine) error {
	var total takeoff.Money
	var rows []orderLineRow
	for i, l := range lines {
		r, err := newOrderLineRow(number, i, l)
		if err != nil {
			return err
		}
		rows = append(rows, r)
		total += l.Amount
	}
	if err := orderLineTable.upsert(ctx, tx, rows); err != nil {
		return err
	}
	_, err := tx.Exec(ctx, `
		UPDATE orders SET total = $2, rooms = (
			SELECT array_agg(DISTINCT room ORDER BY room) FROM order_lines, unnest(rooms) room WHERE purchase_order = $1 AND quantity > 0)
		WHERE number = $1`, number, amount(total))
	return err
}
