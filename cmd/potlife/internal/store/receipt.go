package store

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/rooms"
	"potlife/scheduler"
)

// Receipt is what came in for a line of an order.
type Receipt struct {
	// Key is chosen by who books it in: one whose key has come before is not
	// booked again.
	Key string
	// Line is the position of the order's line, from 0.
	Line         int
	Lot, Calibre string
	// Packages are those that came sound (boxes for tiles); Damaged and Wrong ones
	// came besides and were not kept.
	Packages, Damaged, Wrong float64
	// MeanWidth and MeanHeight are the measured mean size of the lot's tiles, 0
	// where nobody measured.
	MeanWidth, MeanHeight rooms.Length
	On                    rooms.Date
	Who, Note             string
	// Place is where it lies now, a site as "job/site", empty for the yard.
	Place string
	// Product and At are set by the store.
	Product string
	At      time.Time
}

// orderedLine is a line with what has come for it.
type orderedLine struct {
	product        string
	unit           string
	ordered, sound float64
}

// Receive books deliveries in for an order, all or none: the receipt, the stock
// and the order's next state. ErrConflict: the order does not take deliveries,
// or more came than was ordered. ErrNotFound: no such order or line.
func (s *Store) Receive(ctx context.Context, number int64, receipts []Receipt, who string, now time.Time) error {
	return s.write(ctx, func(tx pgx.Tx) error {
		state, err := lockOrder(ctx, tx, number)
		if err != nil {
			return err
		}
		lines, err := orderedLines(ctx, tx, number)
		if err != nil {
			return err
		}
		booked := 0
		for _, r := range receipts {
			l := lines[r.Line]
			if l == nil || l.product == "" {
				return notFound("Order %d has no line %d that is delivered.", number, r.Line+1)
			}
			r.Product, r.At, r.Who = l.product, now, who
			fresh, err := receive(ctx, tx, number, r, l)
			if err != nil {
				return err
			}
			if fresh {
				l.sound += r.Packages
				booked++
			}
		}
		if booked == 0 {
			return nil
		}
		to := OrderReceived
		for _, l := range lines {
			if l.product != "" && l.sound < l.ordered {
				to = OrderPartReceived
			}
		}
		if err := setState(ctx, tx, number, state, to); err != nil {
			return err
		}
		note := fmt.Sprintf("%d booked in", booked)
		return addEvent(ctx, tx, number, OrderEvent{At: now, Who: who, State: to, Note: note})
	})
}

func orderedLines(ctx context.Context, tx pgx.Tx, number int64) (map[int]*orderedLine, error) {
	rows, _ := tx.Query(ctx, `
		SELECT l.pos, coalesce(l.product, ''), l.unit, l.quantity, coalesce(sum(r.packages), 0)
		FROM order_lines l LEFT JOIN receipts r ON r.purchase_order = l.purchase_order AND r.line = l.pos
		WHERE l.purchase_order = $1 GROUP BY l.purchase_order, l.pos`, number)
	out := map[int]*orderedLine{}
	var pos int
	var l orderedLine
	_, err := pgx.ForEachRow(rows, []any{&pos, &l.product, &l.unit, &l.ordered, &l.sound}, func() error {
		line := l
		out[pos] = &line
		return nil
	})
	return out, err
}

// receive books one receipt; false where its key has come before.
func receive(ctx context.Context, tx pgx.Tx, number int64, r Receipt, l *orderedLine) (bool, error) {
	var id int64
	err := tx.QueryRow(ctx, `
		INSERT INTO receipts (key, purchase_order, line, product, lot, calibre, packages, damaged, wrong,
			mean_width, mean_height, received_on, at, who, note)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, nullif($10, 0), nullif($11, 0), $12, $13, $14, $15)
		ON CONFLICT (key) DO NOTHING RETURNING id`,
		r.Key, number, r.Line, r.Product, r.Lot, r.Calibre, r.Packages, r.Damaged, r.Wrong,
		int64(r.MeanWidth), int64(r.MeanHeight), day(r.On), r.At, r.Who, r.Note).Scan(&id)
	if err == pgx.ErrNoRows {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	if l.sound+r.Packages > l.ordered {
		names, err := goodsNames(ctx, tx)
		if err != nil {
			return false, err
		}
		return false, conflict("Order %d, line %d, %s: %s ordered, %s received before, %s more is beyond the order. Change the order first, or book what is too much as wrong.",
			number, r.Line+1, cmp.Or(names[l.product], l.product), packages(l.ordered, l.unit), packages(l.sound, l.unit), packages(r.Packages, l.unit))
	}
	if r.Packages == 0 {
		return true, nil
	}
	unit := "package"
	if l.unit == "box" {
		unit = "box"
	}
	return true, move(ctx, tx, []Movement{{At: r.At, Kind: CameIn, Place: r.Place, Product: r.Product, Lot: r.Lot, Unit: unit, Quantity: r.Packages,
		Why: orderWhy(number), Key: "receipt " + r.Key}}, &id)
}

// Received lists what has come in as the planner takes it, in order of time.
func (s *Store) Received(ctx context.Context) ([]scheduler.Receipt, error) {
	var out []scheduler.Receipt
	err := s.read(ctx, func(tx pgx.Tx) error {
		out = nil
		rows, _ := tx.Query(ctx, `
			SELECT o.number, o.key, r.product, r.lot, r.calibre, r.packages, r.received_on, r.line + 1, coalesce(r.mean_width, 0), coalesce(r.mean_height, 0)
			FROM receipts r JOIN orders o ON o.number = r.purchase_order
			WHERE r.packages > 0 ORDER BY r.received_on, r.id`)
		var numbers []int64
		var number int64
		var r scheduler.Receipt
		_, err := pgx.ForEachRow(rows, []any{&number, &r.Order, &r.Product, &r.Lot, &r.Calibre, &r.Packages, (*day)(&r.At), &r.Line, (*int64)(&r.Width), (*int64)(&r.Height)}, func() error {
			out, numbers = append(out, r), append(numbers, number)
			return nil
		})
		if err != nil {
			return err
		}
		back, err := loadReturns(ctx, tx)
		out = stayed(out, numbers, back)
		return err
	})
	return out, err
}

// stayed takes off receipts, the last first, what of their orders went back.
func stayed(list []scheduler.Receipt, numbers []int64, back map[int64][]returned) []scheduler.Receipt {
	for i := len(list) - 1; i >= 0; i-- {
		for j := range back[numbers[i]] {
			r := &back[numbers[i]][j]
			if r.product == list[i].Product && (r.lot == "" || r.lot == list[i].Lot) {
				n := min(r.packages, list[i].Packages)
				list[i].Packages -= n
				r.packages -= n
			}
		}
	}
	return slices.DeleteFunc(list, func(r scheduler.Receipt) bool { return r.Packages == 0 })
}

func loadReceipts(ctx context.Context, tx pgx.Tx, numbers []int64) (map[int64][]Receipt, error) {
	rows, _ := tx.Query(ctx, `
		SELECT purchase_order, key, line, product, lot, calibre, packages, damaged, wrong,
			coalesce(mean_width, 0), coalesce(mean_height, 0), received_on, at, who, note
		FROM receipts WHERE purchase_order = ANY($1) ORDER BY id`, numbers)
	out := map[int64][]Receipt{}
	var number int64
	var r Receipt
	_, err := pgx.ForEachRow(rows, []any{&number, &r.Key, &r.Line, &r.Product, &r.Lot, &r.Calibre, &r.Packages, &r.Damaged, &r.Wrong,
		(*int64)(&r.MeanWidth), (*int64)(&r.MeanHeight), (*day)(&r.On), &r.At, &r.Who, &r.Note}, func() error {
		out[number] = append(out[number], r)
		return nil
	})
	return out, err
}
