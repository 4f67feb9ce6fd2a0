package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/scheduler"
	"potlife/takeoff"
)

// Kinds of stock movement.
const (
	Counted  = "count"    // the firm's file said so
	CameIn   = "receipt"  // a delivery
	Reserved = "reserved" // for an issued day (negative) …
	Released = "released" // … and given back
	Used     = "used"
	Broken   = "broken"
	Returned = "returned" // to the supplier
	Moved    = "moved"    // from one place (negative) to another
)

// Movement is stock that comes (+) or goes (-). Stock is the sum of movements;
// none is ever changed.
type Movement struct {
	At       time.Time
	Kind     string
	Place    string // "" is the yard, else a site, "job/site"
	Product  string // tile or product
	Lot      string
	Unit     string // "box", "tile" or "package"
	Quantity float64
	Why      string
	// Key, where not empty, makes the movement happen once.
	Key string
}

// Move books movements, all or none. Those whose key is booked already are
// passed over.
func (s *Store) Move(ctx context.Context, moves []Movement) error {
	return s.write(ctx, func(tx pgx.Tx) error { return move(ctx, tx, moves, nil) })
}

func move(ctx context.Context, tx pgx.Tx, moves []Movement, receipt *int64) error {
	if len(moves) == 0 {
		return nil
	}
	var b pgx.Batch
	for _, m := range moves {
		b.Queue(`
			INSERT INTO stock_movements (at, kind, place, product, lot, unit, quantity, why, key, receipt)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)
			ON CONFLICT (key) DO NOTHING`,
			m.At, m.Kind, m.Place, m.Product, m.Lot, m.Unit, m.Quantity, m.Why, orNull(m.Key), receipt)
	}
	return tx.SendBatch(ctx, &b).Close()
}

// OnHand is how much lies somewhere, by movements.
type OnHand struct {
	Place    string  `db:"place"`
	Product  string  `db:"product"`
	Lot      string  `db:"lot"`
	Unit     string  `db:"unit"`
	Quantity float64 `db:"quantity"`
}

// Stock sums up the movements by place, product, lot and unit.
func (s *Store) Stock(ctx context.Context) ([]OnHand, error) {
	return rows[OnHand](ctx, s, `
		SELECT place, product, lot, unit, quantity FROM stock_on_hand
		WHERE quantity <> 0 ORDER BY place COLLATE "C", product COLLATE "C", lot COLLATE "C", unit`)
}

type stockKey struct{ product, lot, unit string }

// countStock books the difference between what two firm files say lies in the
// yard. What has moved since the first stays booked.
func countStock(ctx context.Context, tx pgx.Tx, old, now *scheduler.Firm, at time.Time) error {
	before := map[stockKey]float64{}
	if old != nil {
		before, _ = yard(old.Catalogue)
	}
	after, order := yard(now.Catalogue)
	if old != nil {
		_, gone := yard(old.Catalogue)
		for _, k := range gone {
			if _, stays := after[k]; !stays {
				order = append(order, k)
			}
		}
	}
	var moves []Movement
	for _, k := range order {
		if d := after[k] - before[k]; d != 0 {
			moves = append(moves, Movement{At: at, Kind: Counted, Product: k.product, Lot: k.lot, Unit: k.unit, Quantity: d, Why: "firm file"})
		}
	}
	return move(ctx, tx, moves, nil)
}

// yard lists what a catalogue has in the yard; lots on offer are not there yet.
func yard(c takeoff.Catalogue) (map[stockKey]float64, []stockKey) {
	have := map[stockKey]float64{}
	var order []stockKey
	add := func(k stockKey, n float64) {
		if n == 0 {
			return
		}
		if _, there := have[k]; !there {
			order = append(order, k)
		}
		have[k] += n
	}
	for _, l := range c.Lots {
		if !l.Offered {
			add(stockKey{l.Tile, l.Lot, "box"}, float64(l.Boxes))
			add(stockKey{l.Tile, l.Lot, "tile"}, float64(l.Tiles))
		}
	}
	for _, s := range c.Stock {
		add(stockKey{s.Product, "", "package"}, s.Packages)
	}
	return have, order
}
