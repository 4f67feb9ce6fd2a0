package store

import (
	"context"
	"fmt"
	"reflect"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
)

// relation writes and reads a table that mirrors a row struct R: its columns
// are the struct's db tags. Statements that do more than that stand beside the
// method that needs them.
type relation[R any] struct {
	name string
	key  []string // columns of the primary key
}

func (r relation[R]) columns() []string {
	t := reflect.TypeFor[R]()
	var cols []string
	for i := range t.NumField() {
		cols = append(cols, t.Field(i).Tag.Get("db"))
	}
	return cols
}

func fields(row any) []any {
	v := reflect.ValueOf(row)
	out := make([]any, v.NumField())
	for i := range out {
		out[i] = v.Field(i).Interface()
	}
	return out
}

// list returns the rows for which where holds, in order.
func (r relation[R]) list(ctx context.Context, tx pgx.Tx, where, order string, args ...any) ([]R, error) {
	rows, _ := tx.Query(ctx, "SELECT "+strings.Join(r.columns(), ", ")+" FROM "+r.name+
		" WHERE "+where+" ORDER BY "+order, args...)
	got, err := pgx.CollectRows(rows, pgx.RowToStructByName[R])
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", r.name, err)
	}
	return got, nil
}

// insert adds rows, none of which may be there.
func (r relation[R]) insert(ctx context.Context, tx pgx.Tx, rows []R) error {
	if len(rows) == 0 {
		return nil
	}
	_, err := tx.CopyFrom(ctx, pgx.Identifier{r.name}, r.columns(),
		pgx.CopyFromSlice(len(rows), func(i int) ([]any, error) { return fields(rows[i]), nil }))
	return err
}

// upsert adds rows and overwrites those whose key is there.
func (r relation[R]) upsert(ctx context.Context, tx pgx.Tx, rows []R) error {
	if len(rows) == 0 {
		return nil
	}
	cols := r.columns()
	var params, set []string
	for i, c := range cols {
		params = append(params, fmt.Sprintf("$%d", i+1))
		set = append(set, c+" = excluded."+c)
	}
	sql := fmt.Sprintf("INSERT INTO %s (%s) VALUES (%s) ON CONFLICT (%s) DO UPDATE SET %s",
		r.name, strings.Join(cols, ", "), strings.Join(params, ", "), strings.Join(r.key, ", "), strings.Join(set, ", "))
	var b pgx.Batch
	for _, row := range rows {
		b.Queue(sql, fields(row)...)
	}
	return tx.SendBatch(ctx, &b).Close()
}

// remove deletes the rows for which where holds.
func (r relation[R]) remove(ctx context.Context, tx pgx.Tx, where string, args ...any) error {
	_, err := tx.Exec(ctx, "DELETE FROM "+r.name+" WHERE "+where, args...)
	return err
}

// retire marks the rows that are not among keys, which history may refer to.
func (r relation[R]) retire(ctx context.Context, tx pgx.Tx, keys []string, now time.Time) error {
	_, err := tx.Exec(ctx, "UPDATE "+r.name+" SET retired_at = $2 WHERE key <> ALL($1) AND retired_at IS NULL", keys, now)
	return err
}
