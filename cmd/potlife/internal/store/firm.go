package store

import (
	"context"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/rooms"
	"potlife/scheduler"
)

// Import is what one import brings.
type Import struct {
	Firm   *scheduler.Firm // nil: the firm stays as it is
	Jobs   []rooms.Job     // jobs that are not named stay as they are
	Who    string          // who imports
	Source string          // file names, for the history
}

// Import brings firm and jobs to what is given and returns what changed, in
// words, one line a change ("room flat-2/bath: due 2026-12-04 → 2026-12-07").
// Importing the same again changes nothing and returns nothing. It is all or
// nothing, whatever fails.
//
// Conflicts: another firm's key, something taken out that is still used
// elsewhere (a tile that a zone is set in, a surface of which pieces have been
// issued), a job without a firm.
func (s *Store) Import(ctx context.Context, in Import, now time.Time) ([]string, error) {
	var changes []string
	err := s.write(ctx, func(tx pgx.Tx) error {
		changes = nil
		if err := lock(ctx, tx, lockImport); err != nil {
			return err
		}
		if in.Firm != nil {
			got, err := importFirm(ctx, tx, in.Firm, now)
			if err != nil {
				return err
			}
			changes = append(changes, got...)
		}
		got, err := importJobs(ctx, tx, in.Jobs, now)
		if err != nil {
			return err
		}
		changes = append(changes, got...)
		if len(changes) == 0 {
			return nil
		}
		if err := checkRetired(ctx, tx); err != nil {
			return err
		}
		_, err = tx.Exec(ctx, `INSERT INTO imports (at, who, source, changes) VALUES ($1, $2, $3, $4)`,
			now, in.Who, in.Source, changes)
		return err
	})
	if err != nil {
		return nil, err
	}
	return changes, nil
}

// checkRetired refuses a crew or supplier that is no longer in the firm's file
// and is still named by what is.
func checkRetired(ctx context.Context, tx pgx.Tx) error {
	rows, _ := tx.Query(ctx, `
		SELECT 'crew ' || c.key || ' is not in the firm''s file any more, and room ' || r.job || '/' || r.key || ' names it'
			FROM rooms r JOIN crews c ON c.key = r.crew AND c.retired_at IS NOT NULL
		UNION ALL
		SELECT 'supplier ' || s.key || ' is not in the firm''s file any more, and ' || p.what || ' names it'
			FROM (SELECT supplier, 'tile ' || key FROM tiles UNION ALL SELECT supplier, 'product ' || key FROM products) p (supplier, what)
			JOIN suppliers s ON s.key = p.supplier AND s.retired_at IS NOT NULL
		ORDER BY 1 LIMIT 10`)
	lines, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err == nil && len(lines) > 0 {
		return conflict("%s", strings.Join(lines, "; "))
	}
	return err
}

// ImportFirm is Import with a firm only.
func (s *Store) ImportFirm(ctx context.Context, f *scheduler.Firm, now time.Time) ([]string, error) {
	return s.Import(ctx, Import{Firm: f}, now)
}

// ImportJobs is Import with jobs only.
func (s *Store) ImportJobs(ctx context.Context, jobs []rooms.Job, now time.Time) ([]string, error) {
	return s.Import(ctx, Import{Jobs: jobs}, now)
}

// Preview returns what Import would change and changes nothing. What the
// database alone would refuse is refused here too.
func (s *Store) Preview(ctx context.Context, in Import, now time.Time) ([]string, error) {
	var changes []string
	err := s.write(ctx, func(tx pgx.Tx) error {
		changes = nil
		if in.Firm != nil {
			got, err := importFirm(ctx, tx, in.Firm, now)
			if err != nil {
				return err
			}
			changes = append(changes, got...)
		}
		got, err := importJobs(ctx, tx, in.Jobs, now)
		if err != nil {
			return err
		}
		changes = append(changes, got...)
		if err := checkRetired(ctx, tx); err != nil {
			return err
		}
		// What is checked at commit is checked now; then all is taken back.
		if _, err := tx.Exec(ctx, `SET CONSTRAINTS ALL IMMEDIATE`); err != nil {
			return err
		}
		return errTakeBack
	})
	if err != errTakeBack {
		return nil, err
	}
	return changes, nil
}

var errTakeBack = &Error{Kind: ErrInvalid, Text: "taken back"}

// Firm returns the firm exactly as it was imported last. ErrNotFound: none has
// been.
func (s *Store) Firm(ctx context.Context) (*scheduler.Firm, error) {
	var f *scheduler.Firm
	err := s.read(ctx, func(tx pgx.Tx) (err error) {
		f, err = loadFirm(ctx, tx)
		return err
	})
	return f, err
}

// FirmAndJobs returns the firm and its open jobs on one snapshot.
func (s *Store) FirmAndJobs(ctx context.Context) (*scheduler.Firm, []rooms.Job, error) {
	var f *scheduler.Firm
	var jobs []rooms.Job
	err := s.read(ctx, func(tx pgx.Tx) (err error) {
		if f, err = loadFirm(ctx, tx); err != nil {
			return err
		}
		jobs, err = loadJobs(ctx, tx, `closed_at IS NULL`)
		return err
	})
	return f, jobs, err
}

func importFirm(ctx context.Context, tx pgx.Tx, f *scheduler.Firm, now time.Time) ([]string, error) {
	old, err := loadFirm(ctx, tx)
	if err != nil && !isNotFound(err) {
		return nil, err
	}
	if old != nil && old.Key != f.Key {
		return nil, conflict("this database belongs to firm %q; it cannot take firm %q. Use a database of its own for that", old.Key, f.Key)
	}
	changes := firmChanges(old, f)
	if len(changes) == 0 {
		return nil, nil
	}
	if err := saveFirm(ctx, tx, f, now); err != nil {
		return nil, err
	}
	return changes, countStock(ctx, tx, old, f, now)
}

// saveFirm writes all of the firm. Rows that others refer to are overwritten in
// place; those that are gone are removed last.
func saveFirm(ctx context.Context, tx pgx.Tx, f *scheduler.Firm, now time.Time) error {
	row, err := newFirmRow(f, now)
	if err != nil {
		return err
	}
	steps := []func() error{
		func() error { return firmTable.upsert(ctx, tx, []firmRow{row}) },
		func() error { return saveOffice(ctx, tx, f) },
		func() error { return saveCrews(ctx, tx, f.Crews, now) },
		func() error { return saveTravel(ctx, tx, f.Travel) },
		func() error { return saveRecipes(ctx, tx, f.Recipes) },
		func() error { return saveCatalogue(ctx, tx, f.Catalogue, now) },
	}
	for _, step := range steps {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

func saveOffice(ctx context.Context, tx pgx.Tx, f *scheduler.Firm) error {
	var rows []officeRow
	for i, h := range f.Office {
		rows = append(rows, officeRow{i, h.Weekday, h.Start, h.End})
	}
	if err := officeTable.remove(ctx, tx, "true"); err != nil {
		return err
	}
	return officeTable.insert(ctx, tx, rows)
}

func saveCrews(ctx context.Context, tx pgx.Tx, crews []scheduler.Crew, now time.Time) error {
	rows, err := convert(crews, newCrewRow)
	if err != nil {
		return err
	}
	keys, hours := []string{}, []crewHoursRow(nil)
	for _, c := range crews {
		keys = append(keys, c.Key)
		for i, h := range c.Hours {
			hours = append(hours, crewHoursRow{c.Key, i, h.Weekday, h.Start, h.End})
		}
	}
	if err := unique("crew", keys); err != nil {
		return err
	}
	if err := crewHoursTable.remove(ctx, tx, "true"); err != nil {
		return err
	}
	if err := crewTable.upsert(ctx, tx, rows); err != nil {
		return err
	}
	if err := crewHoursTable.insert(ctx, tx, hours); err != nil {
		return err
	}
	return crewTable.retire(ctx, tx, keys, now)
}

func saveTravel(ctx context.Context, tx pgx.Tx, travel []scheduler.Travel) error {
	var rows []travelRow
	for i, t := range travel {
		rows = append(rows, travelRow{i, t.From, t.To, t.Minutes})
	}
	if err := travelTable.remove(ctx, tx, "true"); err != nil {
		return err
	}
	return travelTable.insert(ctx, tx, rows)
}

func saveRecipes(ctx context.Context, tx pgx.Tx, recipes []scheduler.Recipe) error {
	rows, err := convert(recipes, newRecipeRow)
	if err != nil {
		return err
	}
	var steps []stepRow
	for _, r := range recipes {
		for i, s := range r.Steps {
			row, err := newStepRow(r.Key, i, s)
			if err != nil {
				return err
			}
			steps = append(steps, row)
		}
	}
	if err := recipeTable.remove(ctx, tx, "true"); err != nil { // with its steps
		return err
	}
	if err := recipeTable.insert(ctx, tx, rows); err != nil {
		return err
	}
	return stepTable.insert(ctx, tx, steps)
}

// convert makes rows of a list, in its order.
func convert[T, R any](list []T, row func(int, T) (R, error)) ([]R, error) {
	var out []R
	for i, v := range list {
		r, err := row(i, v)
		if err != nil {
			return nil, err
		}
		out = append(out, r)
	}
	return out, nil
}

// unique refuses a key that comes twice: the second would silently overwrite
// the first.
func unique(noun string, keys []string) error {
	seen := map[string]bool{}
	for _, k := range keys {
		if seen[k] {
			return conflict("%s %s is there twice", noun, k)
		}
		seen[k] = true
	}
	return nil
}
