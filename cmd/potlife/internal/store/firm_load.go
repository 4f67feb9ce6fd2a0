package store

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"

	"potlife/rooms"
	"potlife/scheduler"
)

func isNotFound(err error) bool { return errors.Is(err, ErrNotFound) }

func loadFirm(ctx context.Context, tx pgx.Tx) (*scheduler.Firm, error) {
	rows, err := firmTable.list(ctx, tx, "true", "1")
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, notFound("no firm has been imported yet")
	}
	f, err := rows[0].firm()
	if err != nil {
		return nil, err
	}
	office, err := officeTable.list(ctx, tx, "true", "pos")
	if err != nil {
		return nil, err
	}
	for _, h := range office {
		f.Office = append(f.Office, rooms.DayHours{Weekday: h.Weekday, Start: h.Starts, End: h.Ends})
	}
	travel, err := travelTable.list(ctx, tx, "true", "pos")
	if err != nil {
		return nil, err
	}
	for _, t := range travel {
		f.Travel = append(f.Travel, scheduler.Travel{From: t.From, To: t.To, Minutes: t.Minutes})
	}
	if err := loadCrews(ctx, tx, &f); err != nil {
		return nil, err
	}
	if err := loadRecipes(ctx, tx, &f); err != nil {
		return nil, err
	}
	return &f, loadCatalogue(ctx, tx, &f)
}

func loadCrews(ctx context.Context, tx pgx.Tx, f *scheduler.Firm) error {
	crews, err := crewTable.list(ctx, tx, "retired_at IS NULL", "pos")
	if err != nil {
		return err
	}
	hours, err := crewHoursTable.list(ctx, tx, "true", "crew, pos")
	if err != nil {
		return err
	}
	of := map[string][]rooms.DayHours{}
	for _, h := range hours {
		of[h.Crew] = append(of[h.Crew], rooms.DayHours{Weekday: h.Weekday, Start: h.Starts, End: h.Ends})
	}
	for _, row := range crews {
		c, err := row.crew()
		if err != nil {
			return err
		}
		c.Hours = of[c.Key]
		f.Crews = append(f.Crews, c)
	}
	return nil
}

func loadRecipes(ctx context.Context, tx pgx.Tx, f *scheduler.Firm) error {
	recipes, err := recipeTable.list(ctx, tx, "true", "pos")
	if err != nil {
		return err
	}
	rows, err := stepTable.list(ctx, tx, "true", "recipe, pos")
	if err != nil {
		return err
	}
	steps, err := group(rows, func(r stepRow) string { return r.Recipe }, stepRow.step)
	if err != nil {
		return err
	}
	for _, row := range recipes {
		r := scheduler.Recipe{Key: row.Key}
		if err := andMore(&r, row.More); err != nil {
			return err
		}
		r.Steps = steps[r.Key]
		f.Recipes = append(f.Recipes, r)
	}
	return nil
}

func loadCatalogue(ctx context.Context, tx pgx.Tx, f *scheduler.Firm) (err error) {
	c := &f.Catalogue
	if c.Suppliers, err = all(ctx, tx, supplierTable, "retired_at IS NULL", supplierRow.supplier); err != nil {
		return err
	}
	if c.Tiles, err = all(ctx, tx, tileTable, "true", tileRow.tile); err != nil {
		return err
	}
	if c.Products, err = all(ctx, tx, productTable, "true", productRow.product); err != nil {
		return err
	}
	if c.Lots, err = all(ctx, tx, lotTable, "true", lotRow.lot); err != nil {
		return err
	}
	if c.Stock, err = all(ctx, tx, stockTable, "true", stockRow.stock); err != nil {
		return err
	}
	c.Offcuts, err = countedOffcuts(ctx, tx)
	return err
}

// all reads a table in the order of the file.
func all[R, T any](ctx context.Context, tx pgx.Tx, table relation[R], where string, value func(R) (T, error)) ([]T, error) {
	rows, err := table.list(ctx, tx, where, "pos")
	if err != nil {
		return nil, err
	}
	var out []T
	for _, r := range rows {
		v, err := value(r)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}

// group collects rows under what they belong to, in their order.
func group[R, T any](rows []R, of func(R) string, value func(R) (T, error)) (map[string][]T, error) {
	out := map[string][]T{}
	for _, r := range rows {
		v, err := value(r)
		if err != nil {
			return nil, err
		}
		out[of(r)] = append(out[of(r)], v)
	}
	return out, nil
}
