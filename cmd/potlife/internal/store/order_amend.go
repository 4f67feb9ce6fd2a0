package store

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

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
	var out *Order
	err := s.write(ctx, func(tx pgx.Tx) error {
		state, err := lockOrder(ctx, tx, number)
		if err != nil {
			return err
		}
		switch state {
		case OrderPlaced, OrderConfirmed, OrderPartReceived:
		default:
			return conflict("order %d is %s and cannot be changed any more", number, state)
		}
		orders, err := loadOrders(ctx, tx, "number = $1", number)
		if err != nil {
			return err
		}
		received, err := orderedLines(ctx, tx, number)
		if err != nil {
			return err
		}
		changes, err := amendments(&orders[0], lines, received)
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
func amendments(o *Order, lines []takeoff.OrderLine, received map[int]*orderedLine) ([]string, error) {
	if len(lines) < len(o.Lines) {
		return nil, conflict("order %d has %d lines and the change names %d; a line that is not wanted gets quantity 0", o.Number, len(o.Lines), len(lines))
	}
	var out []string
	for i, l := range lines {
		if i >= len(o.Lines) {
			out = append(out, fmt.Sprintf("line %d added: %g %s %s", i+1, l.Quantity, l.Unit, nameOfLine(l)))
			continue
		}
		old := o.Lines[i]
		if old.Product != l.Product || old.Unit != l.Unit {
			return nil, conflict("order %d, line %d: %s by the %s cannot become %s by the %s; add a line", o.Number, i+1,
				nameOfLine(old), old.Unit, nameOfLine(l), l.Unit)
		}
		if have := received[i].sound; l.Quantity < have {
			return nil, conflict("order %d, line %d: %g have been received, so it cannot be %g", o.Number, i+1, have, l.Quantity)
		}
		if old.Quantity != l.Quantity {
			out = append(out, fmt.Sprintf("line %d, %s: %g → %g %s", i+1, nameOfLine(l), old.Quantity, l.Quantity, l.Unit))
		}
		if old.UnitPrice != l.UnitPrice {
			out = append(out, fmt.Sprintf("line %d, %s: price %s → %s", i+1, nameOfLine(l), money(old.UnitPrice), money(l.UnitPrice)))
		}
		if old.Lot != l.Lot {
			out = append(out, fmt.Sprintf("line %d, %s: lot %s → %s", i+1, nameOfLine(l), orNone(old.Lot), orNone(l.Lot)))
		}
		if old.NeedBy != l.NeedBy {
			out = append(out, fmt.Sprintf("line %d, %s: needed by %s → %s", i+1, nameOfLine(l), orNone(old.NeedBy.String()), orNone(l.NeedBy.String())))
		}
		if old.Text != l.Text || old.Amount != l.Amount && old.Quantity == l.Quantity && old.UnitPrice == l.UnitPrice {
			out = append(out, fmt.Sprintf("line %d, %s: text or amount", i+1, nameOfLine(l)))
		}
	}
	return out, nil
}

func nameOfLine(l takeoff.OrderLine) string {
	if l.Product != "" {
		return l.Product
	}
	return l.Text
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
