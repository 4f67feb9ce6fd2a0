package store

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// Offcut is an offcut that was kept, in hand or gone.
type Offcut struct {
	takeoff.YardOffcut
	KeptAt time.Time
	KeptBy string // empty: left by rooms that a plan no longer holds, or counted in the firm's file
	GoneAt *time.Time
	GoneBy string // empty: cut by the plan in force
}

type offcutRow struct {
	Key    string     `db:"key"`
	Pos    *int       `db:"pos"`
	Tile   string     `db:"tile"`
	Lot    string     `db:"lot"`
	Width  int64      `db:"width"`
	Height int64      `db:"height"`
	Edges  []string   `db:"edges"`
	Place  string     `db:"place"`
	LeftOf string     `db:"left_of"`
	KeptAt time.Time  `db:"kept_at"`
	KeptBy string     `db:"kept_by"`
	GoneAt *time.Time `db:"gone_at"`
	GoneBy string     `db:"gone_by"`
}

var offcutTable = relation[offcutRow]{"offcuts", []string{"key"}}

func (r offcutRow) offcut() (takeoff.YardOffcut, error) {
	o := takeoff.YardOffcut{Key: r.Key, Tile: r.Tile, Lot: r.Lot, Width: rooms.Length(r.Width), Height: rooms.Length(r.Height), Place: r.Place, From: r.LeftOf}
	return o, o.SetEdges(r.Edges)
}

// Offcuts lists all offcuts that were ever kept, those in hand first, each as it was
// kept or counted.
func (s *Store) Offcuts(ctx context.Context) ([]Offcut, error) {
	var out []Offcut
	err := s.read(ctx, func(tx pgx.Tx) error {
		list, err := offcutTable.list(ctx, tx, "true", `gone_at IS NOT NULL, gone_at DESC, pos NULLS LAST, kept_at, key COLLATE "C"`)
		if err != nil {
			return err
		}
		out = nil
		for _, r := range list {
			o, err := r.offcut()
			if err != nil {
				return fmt.Errorf("offcut %s: %w", r.Key, err)
			}
			out = append(out, Offcut{o, r.KeptAt, r.KeptBy, r.GoneAt, r.GoneBy})
		}
		return nil
	})
	return out, err
}

// OffcutsInHand lists what can still be cut from.
func (s *Store) OffcutsInHand(ctx context.Context) ([]takeoff.YardOffcut, error) {
	all, err := s.Offcuts(ctx)
	var out []takeoff.YardOffcut
	for _, o := range all {
		if o.GoneAt == nil {
			out = append(out, o.YardOffcut)
		}
	}
	return out, err
}

// KeepOffcut records an offcut that lies in the yard or on a site. Without a key it is
// given the next number. Recording the same again does nothing and returns false.
// ErrInvalid: it does not fit its tile; ErrConflict: its key is another piece's.
func (s *Store) KeepOffcut(ctx context.Context, o takeoff.YardOffcut, who string, now time.Time) (key string, kept bool, err error) {
	err = s.write(ctx, func(tx pgx.Tx) error {
		key, kept = o.Key, false
		tiles, err := all(ctx, tx, tileTable, "true", tileRow.tile)
		if err != nil {
			return err
		}
		i := slices.IndexFunc(tiles, func(t takeoff.Tile) bool { return t.Key == o.Tile })
		if i < 0 {
			return invalid("there is no tile %q; give the key of one in the firm's file", o.Tile)
		}
		if err := o.Check(&tiles[i]); err != nil {
			return invalid("%v", err)
		}
		if key == "" {
			n, err := next(ctx, tx, "offcut")
			if err != nil {
				return err
			}
			key = fmt.Sprintf("no%d", n)
		}
		list, err := offcutTable.list(ctx, tx, "key = $1", "key", key)
		if err != nil {
			return err
		}
		if len(list) > 0 {
			was, err := list[0].offcut()
			if now := o; err == nil && was == now && list[0].GoneAt == nil {
				return nil
			}
			return conflict("an offcut with the key %q was kept before; a key stands for one piece for good, so give this one another", key)
		}
		kept = true
		row := newOffcutRow(o, now)
		row.Key, row.KeptBy = key, who
		return offcutTable.insert(ctx, tx, []offcutRow{row})
	})
	return key, kept && err == nil, err
}

func newOffcutRow(o takeoff.YardOffcut, now time.Time) offcutRow {
	return offcutRow{Key: o.Key, Tile: o.Tile, Lot: o.Lot, Width: int64(o.Width), Height: int64(o.Height), Edges: o.Edges(), Place: o.Place, LeftOf: o.From, KeptAt: now}
}

// OffcutGone records that an offcut is not there any more: used for something else,
// broken or thrown away. Saying so again does nothing. ErrNotFound: there is none.
func (s *Store) OffcutGone(ctx context.Context, key, who string, now time.Time) error {
	if who == "" {
		return invalid("nobody says that offcut %q is gone", key)
	}
	return s.write(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, `UPDATE offcuts SET gone_at = coalesce(gone_at, $2), gone_by = CASE WHEN gone_at IS NULL THEN $3 ELSE gone_by END WHERE key = $1`, key, now, who)
		if err == nil && tag.RowsAffected() == 0 {
			return notFound("there is no offcut %q", key)
		}
		return err
	})
}

// countOffcuts makes the offcuts counted in the firm's file those of a catalogue. One
// that is gone stays known by its key; one that is no longer counted is forgotten.
func countOffcuts(ctx context.Context, tx pgx.Tx, list []takeoff.YardOffcut, now time.Time) error {
	keys := []string{}
	for _, o := range list {
		keys = append(keys, o.Key)
	}
	if err := unique("offcut", keys); err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `UPDATE offcuts SET pos = NULL WHERE pos IS NOT NULL AND gone_at IS NOT NULL AND key <> ALL($1)`, keys); err != nil {
		return err
	}
	if err := offcutTable.remove(ctx, tx, "pos IS NOT NULL AND key <> ALL($1)", keys); err != nil {
		return err
	}
	var b pgx.Batch
	for i, o := range list {
		r := newOffcutRow(o, now)
		b.Queue(`
			INSERT INTO offcuts (key, pos, tile, lot, width, height, edges, place, left_of, kept_at, kept_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, '')
			ON CONFLICT (key) DO UPDATE SET pos = excluded.pos, tile = excluded.tile, lot = excluded.lot, width = excluded.width, height = excluded.height,
				edges = excluded.edges, place = excluded.place, left_of = excluded.left_of`,
			r.Key, i, r.Tile, r.Lot, r.Width, r.Height, r.Edges, r.Place, r.LeftOf, r.KeptAt)
	}
	if b.Len() == 0 {
		return nil
	}
	return tx.SendBatch(ctx, &b).Close()
}

// countedOffcuts are those of the firm's file, also those that are gone by now.
func countedOffcuts(ctx context.Context, tx pgx.Tx) ([]takeoff.YardOffcut, error) {
	return all(ctx, tx, offcutTable, "pos IS NOT NULL", offcutRow.offcut)
}

// bookOffcuts books what a plan says of offcuts: those that came to hand, and those
// from which something has been cut.
func bookOffcuts(ctx context.Context, tx pgx.Tx, p *scheduler.Plan, now time.Time) error {
	var b pgx.Batch
	for _, o := range p.ToYard {
		r := newOffcutRow(o, now)
		b.Queue(`
			INSERT INTO offcuts (key, tile, lot, width, height, edges, place, left_of, kept_at, kept_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, '')
			ON CONFLICT (key) DO NOTHING`, r.Key, r.Tile, r.Lot, r.Width, r.Height, r.Edges, r.Place, r.LeftOf, r.KeptAt)
	}
	if len(p.Spent) > 0 {
		b.Queue(`UPDATE offcuts SET gone_at = $2 WHERE key = ANY($1) AND gone_at IS NULL`, p.Spent, now)
	}
	if b.Len() == 0 {
		return nil
	}
	return tx.SendBatch(ctx, &b).Close()
}
