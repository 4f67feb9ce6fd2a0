package store

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
)

// bookOpened books the packages a record says were opened as used, at the place
// where the lot lies, and gives back what the day's sheet had reserved of them.
// What the record corrects is booked back first.
func bookOpened(ctx context.Context, tx pgx.Tx, r Record, now time.Time) error {
	var moves []Movement
	if r.Corrects != "" {
		back, err := bookedBy(ctx, tx, r.Corrects)
		if err != nil {
			return err
		}
		for i, m := range back {
			m.At, m.Quantity, m.Why = now, -m.Quantity, "taken back: "+m.Why
			m.Key = fmt.Sprintf("record:%s:back:%d", r.Corrects, i)
			moves = append(moves, m)
		}
	}
	if r.Kind == "boxes opened" && r.Packages > 0 {
		used, err := opened(ctx, tx, r, now)
		if err != nil {
			return err
		}
		moves = append(moves, used...)
	}
	return move(ctx, tx, moves, nil)
}

// bookedBy are the movements that a record booked.
func bookedBy(ctx context.Context, tx pgx.Tx, key string) ([]Movement, error) {
	rows, _ := tx.Query(ctx, `
		SELECT at, kind, place, product, lot, unit, quantity, why, key FROM stock_movements
		WHERE key IN ($1, $2) ORDER BY id`, "record:"+key+":used", "record:"+key+":released")
	return pgx.CollectRows(rows, pgx.RowToStructByPos[Movement])
}

func opened(ctx context.Context, tx pgx.Tx, r Record, now time.Time) ([]Movement, error) {
	var tile bool
	if err := tx.QueryRow(ctx, `SELECT EXISTS (SELECT FROM tiles WHERE key = $1)`, r.Product).Scan(&tile); err != nil {
		return nil, err
	}
	unit := "package"
	if tile {
		unit = "box"
	}
	place, held, err := reservedFor(ctx, tx, r, unit)
	if err != nil {
		return nil, err
	}
	if held == 0 {
		if place, err = whereLies(ctx, tx, r, unit); err != nil {
			return nil, err
		}
	}
	why := fmt.Sprintf("opened by %s in %s", r.Crew, r.Room)
	moves := []Movement{{At: now, Kind: Used, Place: place, Product: r.Product, Lot: r.Lot, Unit: unit, Quantity: -r.Packages, Why: why, Key: "record:" + r.Key + ":used"}}
	if back := min(held, r.Packages); back > 0 {
		moves = append(moves, Movement{At: now, Kind: Released, Place: place, Product: r.Product, Lot: r.Lot, Unit: unit, Quantity: back,
			Why: openedFrom(r), Key: "record:" + r.Key + ":released"})
	}
	return moves, nil
}

// openedFrom marks what was reserved for a day and is given back because it is
// used by now. It is not the reason of the reservation itself, so that a later
// revision of the sheet does not reserve the same boxes again.
func openedFrom(r Record) string { return fmt.Sprintf("opened from sheet of %s on %s", r.Crew, r.Day) }

// reservedFor is how many packages of a lot stand reserved for the day of a
// record and have not been opened yet, and where.
func reservedFor(ctx context.Context, tx pgx.Tx, r Record, unit string) (string, float64, error) {
	rows, _ := tx.Query(ctx, `
		SELECT place, product, lot, unit, -sum(quantity) AS quantity FROM stock_movements
		WHERE (why = $1 OR replace(why, 'taken back: ', '') = $2) AND kind IN ('reserved', 'released') AND product = $3 AND lot = $4 AND unit = $5
		GROUP BY place, product, lot, unit HAVING sum(quantity) < 0 ORDER BY place LIMIT 1`,
		fmt.Sprintf("sheet of %s on %s", r.Crew, r.Day), openedFrom(r), r.Product, r.Lot, unit)
	got, err := pgx.CollectRows(rows, pgx.RowToStructByName[OnHand])
	if err != nil || len(got) == 0 {
		return "", 0, err
	}
	return got[0].Place, got[0].Quantity, nil
}

// whereLies is the room's site where some of the lot lies there, else the yard.
func whereLies(ctx context.Context, tx pgx.Tx, r Record, unit string) (string, error) {
	job, room, ok := strings.Cut(r.Room, "/")
	if !ok {
		return "", nil
	}
	rows, _ := tx.Query(ctx, `
		SELECT place FROM stock_on_hand h JOIN rooms m ON m.job = $1 AND m.key = $2 AND h.place = m.job || '/' || m.site
		WHERE h.product = $3 AND h.lot = $4 AND h.unit = $5 AND h.quantity > 0`, job, room, r.Product, r.Lot, unit)
	got, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil || len(got) == 0 {
		return "", err
	}
	return got[0], nil
}
