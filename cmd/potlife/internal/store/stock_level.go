package store

import "context"

// StockLevel is what the movements say of a product's lot at a place, in its
// unit.
type StockLevel struct {
	Place   string `db:"place"` // "" is the yard, else a site, "job/site"
	Product string `db:"product"`
	Lot     string `db:"lot"`
	Unit    string `db:"unit"` // "box", "tile" or "package"
	// OnHand lies there; below zero, more was used or broken than was booked in.
	OnHand float64 `db:"on_hand"`
	// Reserved of it is meant for days whose sheets are issued.
	Reserved float64 `db:"reserved"`
	// Used and Broken have gone; Damaged came damaged and was not kept.
	Used    float64 `db:"used"`
	Broken  float64 `db:"broken"`
	Damaged float64 `db:"damaged"`
}

// Free is what nobody has reserved; below zero, that much is short.
func (l StockLevel) Free() float64 { return l.OnHand - l.Reserved }

// StockLevels lists what lies where, or has lain there, by place, product and
// lot. Deliveries are booked into the yard, and so is what came of them damaged.
func (s *Store) StockLevels(ctx context.Context) ([]StockLevel, error) {
	return rows[StockLevel](ctx, s, `
		WITH moved AS (
			SELECT place, product, lot, unit, kind, quantity, 0::double precision AS damaged FROM stock_movements
			UNION ALL
			SELECT '', r.product, r.lot, CASE WHEN l.unit = 'box' THEN 'box' ELSE 'package' END, 'damaged', 0, r.damaged
				FROM receipts r JOIN order_lines l ON l.purchase_order = r.purchase_order AND l.pos = r.line WHERE r.damaged > 0)
		SELECT place, product, lot, unit,
			coalesce(sum(quantity) FILTER (WHERE kind NOT IN ('reserved', 'released')), 0) AS on_hand,
			coalesce(-sum(quantity) FILTER (WHERE kind IN ('reserved', 'released')), 0) AS reserved,
			coalesce(-sum(quantity) FILTER (WHERE kind = 'used'), 0) AS used,
			coalesce(-sum(quantity) FILTER (WHERE kind = 'broken'), 0) AS broken,
			sum(damaged) AS damaged
		FROM moved GROUP BY place, product, lot, unit
		ORDER BY place COLLATE "C", product COLLATE "C", lot COLLATE "C", unit COLLATE "C"`)
}
