package store

import (
	"context"
	"fmt"
	"slices"
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
	wanted, err := placed(ctx, tx, n, before)
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
	for _, h := range wanted {
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

// placed says where what a sheet reserves is taken from: from the sites it
// names in their order, then from the yard, as far as it lies there; what lies
// nowhere is short in the yard. What the sheet has reserved before counts as
// lying where it was.
func placed(ctx context.Context, tx pgx.Tx, n NewIssue, before []OnHand) ([]OnHand, error) {
	if len(n.Sites) == 0 || len(n.Reserve) == 0 {
		return n.Reserve, nil
	}
	rows, _ := tx.Query(ctx, `SELECT place, product, lot, unit, quantity FROM stock_on_hand WHERE quantity > 0`)
	lies, err := pgx.CollectRows(rows, pgx.RowToStructByName[OnHand])
	if err != nil {
		return nil, err
	}
	free := map[OnHand]float64{}
	for _, h := range append(lies, before...) {
		q := h.Quantity
		h.Quantity = 0
		free[h] += q
	}
	var out []OnHand
	for _, h := range n.Reserve {
		left := h.Quantity
		h.Quantity = 0
		if h.Place != "" {
			h.Quantity = left
			out = append(out, h)
			continue
		}
		for _, place := range append(slices.Clone(n.Sites), "") {
			h.Place = place
			if q := min(left, free[h]); q > 0 {
				free[h] -= q
				left -= q
				h.Quantity = q
				out = append(out, h)
				h.Quantity = 0
			}
		}
		if h.Place = ""; left > 0 {
			h.Quantity = left
			out = append(out, h)
		}
	}
	return out, nil
}
