package store

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"math"
	"reflect"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/scheduler"
)

type activityRow struct {
	ID       string    `db:"id"`
	Plan     int64     `db:"plan"`
	Job      string    `db:"job"`
	Room     string    `db:"room"`
	Surfaces []string  `db:"surfaces"`
	Kind     string    `db:"kind"`
	Title    string    `db:"title"`
	Crew     *string   `db:"crew"`
	Setters  int       `db:"setters"`
	Helpers  int       `db:"helpers"`
	Starts   time.Time `db:"starts"`
	Ends     time.Time `db:"ends"`
	Critical bool      `db:"critical"`
	State    string    `db:"state"`
	Hash     []byte    `db:"hash"`
}

var activityTable = relation[activityRow]{"activities", []string{"id"}}

type areaRow struct {
	ID       string    `db:"id"`
	Plan     int64     `db:"plan"`
	Activity string    `db:"activity"`
	Crew     *string   `db:"crew"`
	Surfaces []string  `db:"surfaces"`
	Starts   time.Time `db:"starts"`
	Ends     time.Time `db:"ends"`
	Mortar   string    `db:"mortar"`
	M2       float64   `db:"m2"`
	Kg       float64   `db:"kg"`
	Pieces   int       `db:"pieces"`
	Hash     []byte    `db:"hash"`
}

var areaTable = relation[areaRow]{"setting_areas", []string{"id"}}

type booking struct {
	Activity, Crew, Site string
	Starts, Ends         time.Time
}

// planRows are the current plan's activities, bookings and setting areas.
type planRows struct {
	activities []activityRow
	bookings   map[string][]booking // by activity
	areas      []areaRow
}

func newPlanRows(p *scheduler.Plan) (*planRows, error) {
	r := &planRows{bookings: map[string][]booking{}}
	var ids []string
	for i := range p.Activities {
		a := &p.Activities[i]
		job, room, err := roomOf(a)
		if err != nil {
			return nil, err
		}
		ids = append(ids, a.ID)
		row := activityRow{ID: a.ID, Job: job, Room: room, Surfaces: notNil(a.Surfaces), Kind: a.Kind, Title: a.Title, Crew: orNull(a.Crew),
			Setters: a.Setters, Helpers: a.Helpers, Starts: instant(p, a.Start).UTC(), Ends: instant(p, a.Finish).UTC(),
			Critical: a.Critical, State: a.State}
		books := bookingsOf(p, a, job)
		row.Hash = digest(row, books)
		r.activities = append(r.activities, row)
		r.bookings[a.ID] = books
	}
	if err := unique("activity", ids); err != nil {
		return nil, err
	}
	ids = nil
	for i := range p.Areas {
		a := &p.Areas[i]
		ids = append(ids, a.ID)
		row := areaRow{ID: a.ID, Activity: a.Activity, Crew: orNull(a.Crew), Surfaces: notNil(a.Surfaces), Starts: instant(p, a.Start).UTC(),
			Ends: instant(p, a.Finish).UTC(), Mortar: a.Mortar, M2: a.M2, Kg: a.Kg, Pieces: len(a.Pieces)}
		row.Hash = digest(row)
		r.areas = append(r.areas, row)
	}
	return r, unique("setting area", ids)
}

// roomOf returns the keys of an activity's job and room, whose path is
// "job/room".
func roomOf(a *scheduler.Activity) (job, room string, err error) {
	job, room, ok := strings.Cut(a.Room, "/")
	if !ok {
		job, room = a.Job, a.Room
	}
	if job == "" || room == "" {
		return "", "", invalid("activity %s: room %q of job %q is no job/room", a.ID, a.Room, a.Job)
	}
	return job, room, nil
}

// bookingsOf returns when an activity has its crew at its site.
func bookingsOf(p *scheduler.Plan, a *scheduler.Activity, job string) []booking {
	if a.Crew == "" {
		return nil
	}
	site := a.Site
	if !strings.Contains(site, "/") {
		site = job + "/" + site
	}
	work := a.Work
	if len(work) == 0 {
		work = []scheduler.Interval{{Start: a.Start, End: a.Finish}}
	}
	var out []booking
	for _, w := range work {
		if w.End > w.Start {
			out = append(out, booking{a.ID, a.Crew, site, instant(p, w.Start).UTC(), instant(p, w.End).UTC()})
		}
	}
	return out
}

func notNil(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

// digest is a hash of all that a row and its bookings say. Rows are told apart
// by it, so that those that stay as they are need not be read.
func digest(v ...any) []byte {
	h := sha256.Sum256(appendValue(nil, reflect.ValueOf(v)))
	return h[:16]
}

// appendValue writes a value so that different ones differ; a tenth of the work
// of JSON.
func appendValue(b []byte, v reflect.Value) []byte {
	switch v.Kind() {
	case reflect.String:
		b = binary.AppendUvarint(b, uint64(v.Len()))
		return append(b, v.String()...)
	case reflect.Bool:
		if v.Bool() {
			return append(b, 1)
		}
		return append(b, 0)
	case reflect.Int, reflect.Int64:
		return binary.AppendVarint(b, v.Int())
	case reflect.Float64:
		return binary.BigEndian.AppendUint64(b, math.Float64bits(v.Float()))
	case reflect.Slice:
		b = binary.AppendUvarint(b, uint64(v.Len()))
		for i := range v.Len() {
			b = appendValue(b, v.Index(i))
		}
		return b
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return append(b, 0)
		}
		return appendValue(append(b, 1), v.Elem())
	case reflect.Struct:
		if at, ok := v.Interface().(time.Time); ok {
			return binary.AppendVarint(b, at.UnixMicro())
		}
		for i := range v.NumField() {
			b = appendValue(b, v.Field(i))
		}
		return b
	case reflect.Uint8: // of the hash itself, which is still empty
		return append(b, byte(v.Uint()))
	default:
		panic("store: no digest of a " + v.Kind().String())
	}
}

// save makes the rows those of the plan in force and touches only what differs.
func (r *planRows) save(ctx context.Context, tx pgx.Tx, plan int64) error {
	oldAreas, err := hashes(ctx, tx, `SELECT id, hash FROM setting_areas`)
	if err != nil {
		return err
	}
	oldActivities, err := hashes(ctx, tx, `SELECT id, hash FROM activities`)
	if err != nil {
		return err
	}
	var areas []areaRow
	for _, a := range r.areas {
		if oldAreas[a.ID] != string(a.Hash) {
			a.Plan = plan
			areas = append(areas, a)
		}
		delete(oldAreas, a.ID)
	}
	var activities []activityRow
	rebooked := []string{}
	var bookings []booking
	for _, a := range r.activities {
		if oldActivities[a.ID] != string(a.Hash) {
			a.Plan = plan
			activities = append(activities, a)
			rebooked = append(rebooked, a.ID)
			bookings = append(bookings, r.bookings[a.ID]...)
		}
		delete(oldActivities, a.ID)
	}
	if err := areaTable.remove(ctx, tx, "id = ANY($1)", left(oldAreas)); err != nil {
		return err
	}
	if err := activityTable.remove(ctx, tx, "id = ANY($1)", left(oldActivities)); err != nil {
		return err
	}
	if err := activityTable.upsert(ctx, tx, activities); err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `DELETE FROM bookings WHERE activity = ANY($1)`, rebooked); err != nil {
		return err
	}
	if err := saveBookings(ctx, tx, bookings); err != nil {
		return err
	}
	return areaTable.upsert(ctx, tx, areas)
}

func saveBookings(ctx context.Context, tx pgx.Tx, bookings []booking) error {
	if len(bookings) == 0 {
		return nil
	}
	var b pgx.Batch
	for _, k := range bookings {
		b.Queue(`INSERT INTO bookings (activity, crew, site, during) VALUES ($1, $2, $3, tstzrange($4, $5))`,
			k.Activity, k.Crew, k.Site, k.Starts, k.Ends)
	}
	return tx.SendBatch(ctx, &b).Close()
}

func hashes(ctx context.Context, tx pgx.Tx, query string) (map[string]string, error) {
	rows, _ := tx.Query(ctx, query)
	out := map[string]string{}
	var id string
	var hash []byte
	_, err := pgx.ForEachRow(rows, []any{&id, &hash}, func() error {
		out[id] = string(hash)
		return nil
	})
	return out, err
}

func left(rest map[string]string) []string {
	out := []string{}
	for id := range rest {
		out = append(out, id)
	}
	return out
}
