package store

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
)

// Happening is an entry of a room's history.
type Happening struct {
	At   time.Time `db:"at"`
	Kind string    `db:"kind"` // "import", "sheet", "record", "order", "delivery"
	Who  string    `db:"who"`
	Text string    `db:"text"`
}

// Timeline lists what has happened to a room ("job/room"), in order of time:
// changes of its data, sheets with work in it, reports on it, and steps of
// orders for it. Areas and activities are known by their ids, which begin with
// the room's path.
func (s *Store) Timeline(ctx context.Context, room string) ([]Happening, error) {
	job, key, ok := strings.Cut(room, "/")
	if !ok {
		return nil, invalid("%q is no room; expected job/room", room)
	}
	var out []Happening
	err := s.read(ctx, func(tx pgx.Tx) error {
		var there bool
		if err := tx.QueryRow(ctx, `SELECT EXISTS (SELECT FROM rooms WHERE job = $1 AND key = $2)`, job, key).Scan(&there); err != nil {
			return err
		}
		if !there {
			return notFound("there is no room %s", room)
		}
		rows, _ := tx.Query(ctx, `
			SELECT i.at, 'import' AS kind, i.who, line AS text
			FROM imports i, unnest(i.changes) line
			WHERE line ~ ('^[a-z ]+ ' || $4 || '(/|:|#)')
			UNION ALL
			SELECT i.issued_at, 'sheet', i.crew, format('sheet of %s, revision %s', i.work_date, i.revision)
			FROM issues i
			WHERE EXISTS (SELECT FROM pieces p WHERE p.crew = i.crew AND p.work_date = i.work_date AND p.job = $1 AND p.room = $2)
			UNION ALL
			SELECT happened_at, 'record', who, kind || CASE WHEN note = '' THEN '' ELSE ': ' || note END
			FROM records
			WHERE room = $3 OR starts_with(surface, $3 || '/') OR starts_with(area, $3 || '/') OR starts_with(activity, $3 || '/')
			UNION ALL
			SELECT e.at, 'order', e.who, format('order %s %s', o.number, e.state) || CASE WHEN e.note = '' THEN '' ELSE ': ' || e.note END
			FROM order_events e JOIN orders o ON o.number = e.purchase_order
			WHERE $3 = ANY(o.rooms)
			UNION ALL
			SELECT r.at, 'delivery', r.who, format('%s of %s', r.packages, r.product)
				|| CASE WHEN r.lot = '' THEN '' ELSE ', lot ' || r.lot END
				|| CASE WHEN r.damaged > 0 THEN format(', %s damaged besides', r.damaged) ELSE '' END
				|| CASE WHEN r.wrong > 0 THEN format(', %s wrong ones besides', r.wrong) ELSE '' END
			FROM receipts r
			JOIN order_lines l ON l.purchase_order = r.purchase_order AND l.pos = r.line
			JOIN orders o ON o.number = r.purchase_order
			WHERE $3 = ANY(coalesce(l.rooms, o.rooms))
			ORDER BY at, kind, text`, job, key, room, quoted(room))
		var err error
		out, err = pgx.CollectRows(rows, pgx.RowToStructByName[Happening])
		return err
	})
	return out, err
}

// quoted makes a text match itself in a regular expression of PostgreSQL.
func quoted(s string) string {
	var b strings.Builder
	for _, r := range s {
		if strings.ContainsRune(`\.+*?()|[]{}^$`, r) {
			b.WriteByte('\\')
		}
		fmt.Fprintf(&b, "%c", r)
	}
	return b.String()
}
