package store

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
)

// reserve makes what is reserved for a crew's day that which its sheet says: it
// books the difference to what earlier revisions reserved. Stock may fall below
// zero by it; a plan that checks will not let it, and a page shows it.
func reserve(ctx context.Context, tx pgx.Tx, n NewIssue, now time.Time) error {
	why := fmt.Sprintf("sheet of %s on %s", n.Crew, n.Date)
	rows, _ := tx.Query(ctx, `
		SELECT place, product, lot, unit, -sum(quantity) AS quantity FROM stock_movements
		WHERE why = $1 AND kind IN ('reserved', 'released')
		GROUP BY place, product, lot, unit HAVING sum(quantity) <> 0
		ORDER BY place, product, lot, unit`, why)
	before, err := pgx.CollectRows(rows, pgx.RowToStructByName[OnHand])
	if err != nil {
		return err
	}
	type key struct{ place, product, lot, unit string }
	more := map[key]float64{}
	var order []key
	add := func(h OnHand, sign float64) {
		k := key{h.Place, h.Product, h.Lot, h.Unit}
		if _, there := more[k]; !there {
			order = append(order, k)
		}
		more[k] += sign * h.Quantity
	}
	for _, h := range n.Reserve {
		if h.Quantity < 0 {
			return invalid("sheet of %s on %s: it reserves %g of %s", n.Crew, n.Date, h.Quantity, h.Product)
		}
		add(h, 1)
	}
	for _, h := range before {
		add(h, -1)
	}
	var moves []Movement
	for _, k := range order {
		m := Movement{At: now, Kind: Reserved, Place: k.place, Product: k.product, Lot: k.lot, Unit: k.unit, Quantity: -more[k], Why: why}
		switch {
		case more[k] == 0:
			continue
		case more[k] < 0:
			m.Kind = Released
		}
		moves = append(moves, m)
	}
	return move(ctx, tx, moves, nil)
}
