package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/takeoff"
)

// saveCatalogue writes suppliers, tiles, products, lots, stock and offcuts. References
// between them are checked at commit.
func saveCatalogue(ctx context.Context, tx pgx.Tx, c takeoff.Catalogue, now time.Time) error {
	keys, err := save(ctx, tx, supplierTable, "supplier", c.Suppliers, newSupplierRow, func(s takeoff.Supplier) string { return s.Key })
	if err != nil {
		return err
	}
	if err := supplierTable.retire(ctx, tx, keys, now); err != nil {
		return err
	}
	if keys, err = save(ctx, tx, tileTable, "tile", c.Tiles, newTileRow, func(t takeoff.Tile) string { return t.Key }); err != nil {
		return err
	}
	if err := tileTable.remove(ctx, tx, "key <> ALL($1)", keys); err != nil {
		return err
	}
	if keys, err = save(ctx, tx, productTable, "product", c.Products, newProductRow, func(p takeoff.Product) string { return p.Key }); err != nil {
		return err
	}
	if err := productTable.remove(ctx, tx, "key <> ALL($1)", keys); err != nil {
		return err
	}
	lots, err := convert(c.Lots, newLotRow)
	if err != nil {
		return err
	}
	stock, err := convert(c.Stock, newStockRow)
	if err != nil {
		return err
	}
	if err := lotTable.remove(ctx, tx, "true"); err != nil {
		return err
	}
	if err := lotTable.insert(ctx, tx, lots); err != nil {
		return err
	}
	if err := stockTable.remove(ctx, tx, "true"); err != nil {
		return err
	}
	if err := stockTable.insert(ctx, tx, stock); err != nil {
		return err
	}
	return countOffcuts(ctx, tx, c.Offcuts, now)
}

// save overwrites a table's rows by key and returns the keys.
func save[T, R any](ctx context.Context, tx pgx.Tx, table relation[R], noun string, list []T, row func(int, T) (R, error), key func(T) string) ([]string, error) {
	rows, err := convert(list, row)
	if err != nil {
		return nil, err
	}
	keys := []string{}
	for _, v := range list {
		keys = append(keys, key(v))
	}
	if err := unique(noun, keys); err != nil {
		return nil, err
	}
	return keys, table.upsert(ctx, tx, rows)
}
