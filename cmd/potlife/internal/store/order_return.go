package store

import (
	"cmp"
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/takeoff"
)

// Return is packages of an order that go back to the supplier.
type Return struct {
	// Key makes the return happen once.
	Key          string
	Product, Lot string
	Packages     float64
	Unit         string // as on the order
	Note         string
}

// ReturnGoods books goods out that go back to their supplier, from where they came
// in: of the lot named, else of the lots that came last. ErrConflict: more than
// has come of the order and not gone back yet. ErrInvalid: nothing goes.
func (s *Store) ReturnGoods(ctx context.Context, number int64, r Return, who string, now time.Time) error {
	if r.Packages <= 0 || r.Key == "" {
		return invalid("order %d: give the packages of %s that go back", number, r.Product)
	}
	return s.write(ctx, func(tx pgx.Tx) error {
		state, err := lockOrder(ctx, tx, number)
		if err != nil {
			return err
		}
		var known bool
		if err := tx.QueryRow(ctx, `SELECT EXISTS (SELECT FROM stock_movements WHERE key = $1)`, r.Key).Scan(&known); err != nil || known {
			return err
		}
		moves, err := sentBack(ctx, tx, number, r, now)
		if err != nil {
			return err
		}
		if err := move(ctx, tx, moves, nil); err != nil {
			return err
		}
		names, err := goodsNames(ctx, tx)
		if err != nil {
			return err
		}
		note := fmt.Sprintf("%s of %s returned", packages(r.Packages, r.Unit), cmp.Or(names[r.Product], r.Product))
		if r.Note != "" {
			note += ": " + r.Note
		}
		return addEvent(ctx, tx, number, OrderEvent{At: now, Who: who, State: state, Note: note})
	})
}

// sentBack are the movements of a return.
func sentBack(ctx context.Context, tx pgx.Tx, number int64, r Return, now time.Time) ([]Movement, error) {
	rows, _ := tx.Query(ctx, `
		SELECT place, product, lot, unit, sum(quantity) AS quantity FROM stock_movements
		WHERE kind IN ('receipt', 'returned') AND why = $1 AND product = $2 AND ($3 = '' OR lot = $3)
		GROUP BY place, product, lot, unit HAVING sum(quantity) > 0 ORDER BY max(id) FILTER (WHERE kind = 'receipt') DESC`, orderWhy(number), r.Product, r.Lot)
	lies, err := pgx.CollectRows(rows, pgx.RowToStructByName[OnHand])
	if err != nil {
		return nil, err
	}
	var moves []Movement
	left, here := r.Packages, 0.0
	for _, h := range lies {
		here += h.Quantity
		n := min(left, h.Quantity)
		if n <= 0 {
			continue
		}
		key := r.Key
		if len(moves) > 0 {
			key = fmt.Sprintf("%s/%d", r.Key, len(moves)+1)
		}
		moves = append(moves, Movement{At: now, Kind: Returned, Place: h.Place, Product: r.Product, Lot: h.Lot, Unit: h.Unit, Quantity: -n,
			Why: orderWhy(number), Key: key})
		left -= n
	}
	if left > 0 {
		names, err := goodsNames(ctx, tx)
		if err != nil {
			return nil, err
		}
		return nil, conflict("Order %d: %s of %s are here of it, so %s cannot go back.", number, packages(here, r.Unit), cmp.Or(names[r.Product], r.Product), packages(r.Packages, r.Unit))
	}
	return moves, nil
}

func orderWhy(number int64) string { return fmt.Sprintf("order %d", number) }

// returned is what of an order went back, by product and lot.
type returned struct {
	product, lot string
	packages     float64
}

// loadReturns lists what went back, by the number of the order.
func loadReturns(ctx context.Context, tx pgx.Tx) (map[int64][]returned, error) {
	out := map[int64][]returned{}
	rows, _ := tx.Query(ctx, `
		SELECT o.number, m.product, m.lot, -sum(m.quantity) FROM stock_movements m JOIN orders o ON m.why = 'order ' || o.number
		WHERE m.kind = 'returned' GROUP BY o.number, m.product, m.lot ORDER BY o.number, m.product COLLATE "C", m.lot COLLATE "C"`)
	var number int64
	var r returned
	_, err := pgx.ForEachRow(rows, []any{&number, &r.product, &r.lot, &r.packages}, func() error {
		out[number] = append(out[number], r)
		return nil
	})
	return out, err
}

// withoutReturns takes off the lines of orders what of them went back: off the
// line of its lot first, then off one that names none.
func withoutReturns(ctx context.Context, tx pgx.Tx, orders []Order) error {
	back, err := loadReturns(ctx, tx)
	if err != nil {
		return err
	}
	for i := range orders {
		o := &orders[i]
		for _, r := range back[o.Number] {
			for _, exact := range []bool{true, false} {
				for j := len(o.Lines) - 1; j >= 0; j-- {
					l := &o.Lines[j]
					if l.Product != r.product || exact != (l.Lot == r.lot) || !exact && l.Lot != "" && r.lot != "" {
						continue
					}
					n, was := min(r.packages, l.Quantity), l.Amount
					r.packages -= n
					l.Quantity -= n
					l.Amount = takeoff.Amount(int(l.Quantity), l.UnitPrice)
					o.Total += l.Amount - was
				}
			}
		}
	}
	return nil
}
