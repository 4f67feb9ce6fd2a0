package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/rooms"
	"potlife/scheduler"
)

// Record is a report from site or office.
type Record struct {
	scheduler.Record
	// Key is chosen by who reports: a record whose key has come before is not
	// added again.
	Key string
	Who string
	// Corrects is the key of a record that this one puts right; that one stays.
	Corrects string
	Photos   []Photo // filled when records are added, not when they are listed
	// Pictures says how many photos are kept with the record, and CorrectedBy
	// the key of the one that puts it right; both are set by the store.
	Pictures    int
	CorrectedBy string

	// ID and ReceivedAt are set by the store: records count 1, 2, 3, … without
	// gaps in the order they came in.
	ID         int64
	ReceivedAt time.Time
}

// Photo is a picture sent with a record.
type Photo struct {
	Type string // "image/jpeg"
	Body []byte
}

// Added says what became of a record.
type Added struct {
	ID  int64
	New bool // false: it had come before
	// Same are earlier records by others on the same setting area or activity,
	// for both to see: those that were put right left out.
	Same []Record
}

type recordRow struct {
	ID         int64           `db:"id"`
	Key        string          `db:"key"`
	Kind       string          `db:"kind"`
	HappenedAt time.Time       `db:"happened_at"`
	ReceivedAt time.Time       `db:"received_at"`
	Who        string          `db:"who"`
	Crew       *string         `db:"crew"`
	Area       string          `db:"area"`
	Activity   string          `db:"activity"`
	Pieces     []string        `db:"pieces"`
	Surface    string          `db:"surface"`
	Reading    json.RawMessage `db:"reading"`
	Minutes    int             `db:"minutes"`
	Note       string          `db:"note"`
	Corrects   *string         `db:"corrects"`
	More       json.RawMessage `db:"more"`
	Day        *day            `db:"day"`
	Room       string          `db:"room"`
	Product    string          `db:"product"`
	Lot        string          `db:"lot"`
	Packages   float64         `db:"packages"`
}

// shownRow is a record with what others say of it.
type shownRow struct {
	recordRow
	Pictures    int     `db:"pictures"`
	CorrectedBy *string `db:"corrected_by"`
}

var recordTable = relation[recordRow]{"records", []string{"id"}}

func newRecordRow(r Record) (recordRow, error) {
	row := recordRow{ID: r.ID, Key: r.Key, Kind: r.Kind, HappenedAt: r.At.UTC().Truncate(time.Microsecond), ReceivedAt: r.ReceivedAt,
		Who: r.Who, Crew: orNull(r.Crew), Area: r.Area, Activity: r.Activity, Pieces: r.Pieces, Surface: r.Surface,
		Minutes: r.Minutes, Note: r.Note, Corrects: orNull(r.Corrects), Room: r.Room, Product: r.Product, Lot: r.Lot, Packages: r.Packages}
	if !r.Day.IsZero() {
		d := day(r.Day)
		row.Day = &d
	}
	if r.Reading != (rooms.Reading{}) {
		var err error
		if row.Reading, err = json.Marshal(r.Reading); err != nil {
			return row, err
		}
	}
	back, err := row.record()
	if err != nil {
		return row, err
	}
	r.At = back.At // kept to the microsecond, in UTC
	row.More, err = more(r.Record, back.Record)
	return row, err
}

func (r recordRow) record() (Record, error) {
	out := Record{ID: r.ID, Key: r.Key, Who: r.Who, Corrects: orEmpty(r.Corrects), ReceivedAt: r.ReceivedAt.UTC(),
		Record: scheduler.Record{Kind: r.Kind, At: r.HappenedAt.UTC(), Crew: orEmpty(r.Crew), Area: r.Area, Activity: r.Activity,
			Pieces: r.Pieces, Surface: r.Surface, Minutes: r.Minutes, Note: r.Note, Room: r.Room, Product: r.Product, Lot: r.Lot, Packages: r.Packages}}
	if r.Day != nil {
		out.Day = rooms.Date(*r.Day)
	}
	if len(r.Reading) > 0 {
		if err := json.Unmarshal(r.Reading, &out.Reading); err != nil {
			return out, fmt.Errorf("read record %s: %w", r.Key, err)
		}
	}
	return out, andMore(&out.Record, r.More)
}

// AddRecord is AddRecords for one.
func (s *Store) AddRecord(ctx context.Context, r Record, now time.Time) (Added, error) {
	got, err := s.AddRecords(ctx, []Record{r}, now)
	if err != nil {
		return Added{}, err
	}
	return got[0], nil
}

// AddRecords adds records in the order given, all or none; those that came
// before are passed over and reported as such. ErrConflict: a key has come
// before with another content.
func (s *Store) AddRecords(ctx context.Context, records []Record, now time.Time) ([]Added, error) {
	var out []Added
	err := s.write(ctx, func(tx pgx.Tx) error {
		out = nil
		for _, r := range records {
			a, err := addRecord(ctx, tx, r, now)
			if err != nil {
				return err
			}
			out = append(out, a)
		}
		return nil
	})
	return out, err
}

func addRecord(ctx context.Context, tx pgx.Tx, r Record, now time.Time) (Added, error) {
	if r.At.IsZero() {
		return Added{}, invalid("record %s: it says not when it happened", r.Key)
	}
	// The number first: whoever has it is alone until the transaction ends, so a
	// reader who has seen record 7 will never be shown a record 6 later.
	id, err := next(ctx, tx, "record")
	if err != nil {
		return Added{}, err
	}
	before, err := recordTable.list(ctx, tx, "key = $1", "id", r.Key)
	if err != nil {
		return Added{}, err
	}
	if len(before) > 0 {
		if err := giveBack(ctx, tx, "record"); err != nil {
			return Added{}, err
		}
		return repeated(before[0], r)
	}
	r.ID, r.ReceivedAt = id, now
	if err := mayCorrect(ctx, tx, r); err != nil {
		return Added{}, err
	}
	row, err := newRecordRow(r)
	if err != nil {
		return Added{}, err
	}
	same, err := sameWork(ctx, tx, r)
	if err != nil {
		return Added{}, err
	}
	if err := recordTable.insert(ctx, tx, []recordRow{row}); err != nil {
		return Added{}, err
	}
	for i, p := range r.Photos {
		if _, err := tx.Exec(ctx, `INSERT INTO attachments (record, pos, type, body) VALUES ($1, $2, $3, $4)`, id, i, p.Type, p.Body); err != nil {
			return Added{}, err
		}
	}
	if err := bookOpened(ctx, tx, r, now); err != nil {
		return Added{}, err
	}
	return Added{ID: id, New: true, Same: same}, nil
}

// mayCorrect refuses a correction of a record that was put right before, or of
// one that only took another back.
func mayCorrect(ctx context.Context, tx pgx.Tx, r Record) error {
	if r.Corrects == "" {
		return nil
	}
	var kind string
	var by *string
	err := tx.QueryRow(ctx, `SELECT r.kind, c.who FROM records r LEFT JOIN records c ON c.corrects = r.key WHERE r.key = $1`, r.Corrects).Scan(&kind, &by)
	switch {
	case errors.Is(err, pgx.ErrNoRows):
		return conflict("there is no report %s to correct", r.Corrects)
	case err != nil:
		return err
	case by != nil:
		return conflict("this report was corrected by %s already; correct that one", *by)
	case kind == Withdrawn:
		return conflict("what was taken back is not corrected; report it again")
	}
	return nil
}

// giveBack takes back the number that this transaction holds and has not used.
func giveBack(ctx context.Context, tx pgx.Tx, counter string) error {
	_, err := tx.Exec(ctx, `UPDATE counters SET last = last - 1 WHERE name = $1`, counter)
	return err
}

// repeated answers a record whose key is there: a repeat, or another record by
// mistake.
func repeated(before recordRow, r Record) (Added, error) {
	old, err := before.record()
	if err != nil {
		return Added{}, err
	}
	fresh, err := newRecordRow(r)
	if err != nil {
		return Added{}, err
	}
	again, err := fresh.record()
	if err != nil {
		return Added{}, err
	}
	if err := andMore(&again.Record, fresh.More); err != nil {
		return Added{}, err
	}
	if !reflect.DeepEqual(old.Record, again.Record) || old.Corrects != again.Corrects {
		return Added{}, conflict("record %s came before with another content; a correction needs a key of its own", r.Key)
	}
	return Added{ID: old.ID}, nil
}

// sameWork lists what others have reported on the same work.
func sameWork(ctx context.Context, tx pgx.Tx, r Record) ([]Record, error) {
	family := families[r.Kind]
	if r.Area == "" && r.Activity == "" || family == nil {
		return nil, nil
	}
	rows, err := recordTable.list(ctx, tx, `kind = ANY($1) AND who <> $2 AND key <> $5
		AND ($3 <> '' AND area = $3 OR $3 = '' AND activity = $4)
		AND NOT EXISTS (SELECT FROM records c WHERE c.corrects = records.key)`, "happened_at, id", family, r.Who, r.Area, r.Activity, r.Corrects)
	if err != nil {
		return nil, err
	}
	return records(rows)
}

// families are the kinds of report that speak of the same thing, so that two
// people who report it are told of each other.
var families = map[string][]string{
	"area done": {"area done", "area not done"}, "area not done": {"area done", "area not done"},
	"activity done": {"activity done", "activity not done"}, "activity not done": {"activity done", "activity not done"},
	"area started": {"area started"}, "activity started": {"activity started"},
}

// Withdrawn is the kind of a record that takes another one back.
const Withdrawn = "withdrawn"

// InForce leaves out what was corrected or taken back, and what only takes
// back: the reports that planning and counting go by.
func InForce(all []Record) []Record {
	var out []Record
	for _, r := range all {
		if r.CorrectedBy == "" && r.Kind != Withdrawn {
			out = append(out, r)
		}
	}
	return out
}

func records(rows []recordRow) ([]Record, error) {
	var out []Record
	for _, row := range rows {
		r, err := row.record()
		if err != nil {
			return nil, err
		}
		out = append(out, r)
	}
	return out, nil
}

// Records lists the records that came in after number after (0: all), in the
// order they came in. No record with a lower number appears later.
func (s *Store) Records(ctx context.Context, after int64) ([]Record, error) {
	return s.records(ctx, "id > $1", "id", after)
}

// RecordsByTime lists all records in the order in which they happened, as the
// planner takes them.
func (s *Store) RecordsByTime(ctx context.Context) ([]Record, error) {
	return s.records(ctx, "true", "happened_at, id")
}

// RecordsOf lists what was reported on a setting area or activity, in the order
// it happened.
func (s *Store) RecordsOf(ctx context.Context, areaOrActivity string) ([]Record, error) {
	return s.records(ctx, "area = $1 OR activity = $1", "happened_at, id", areaOrActivity)
}

func (s *Store) records(ctx context.Context, where, order string, args ...any) ([]Record, error) {
	var out []Record
	err := s.read(ctx, func(tx pgx.Tx) error {
		out = nil
		got, _ := tx.Query(ctx, "SELECT "+strings.Join(recordTable.columns(), ", ")+`,
				(SELECT count(*)::int FROM attachments a WHERE a.record = records.id) AS pictures,
				(SELECT c.key FROM records c WHERE c.corrects = records.key) AS corrected_by
			FROM records WHERE `+where+` ORDER BY `+order, args...)
		rows, err := pgx.CollectRows(got, pgx.RowToStructByName[shownRow])
		if err != nil {
			return fmt.Errorf("read records: %w", err)
		}
		for _, row := range rows {
			r, err := row.record()
			if err != nil {
				return err
			}
			r.Pictures, r.CorrectedBy = row.Pictures, orEmpty(row.CorrectedBy)
			out = append(out, r)
		}
		return nil
	})
	return out, err
}

// RecordsOfDays lists the reports on working days from one to another, both
// included, of a crew, or of all where crew is empty, in the order they happened.
// One without a day of its own belongs to the day it happened in zone.
func (s *Store) RecordsOfDays(ctx context.Context, crew string, from, to rooms.Date, zone *time.Location) ([]Record, error) {
	return s.records(ctx, `($1 = '' OR crew = $1) AND (day BETWEEN $2 AND $3
		OR day IS NULL AND happened_at >= $4 AND happened_at < $5)`, "happened_at, id",
		crew, day(from), day(to), from.In(zone), to.AddDays(1).In(zone))
}

// RecordByKey returns one record.
func (s *Store) RecordByKey(ctx context.Context, key string) (*Record, error) {
	got, err := s.records(ctx, "key = $1", "id", key)
	if err == nil && len(got) == 0 {
		err = notFound("there is no report %s", key)
	}
	if err != nil {
		return nil, err
	}
	return &got[0], nil
}

// RecordByID returns one record by its number.
func (s *Store) RecordByID(ctx context.Context, id int64) (*Record, error) {
	got, err := s.records(ctx, "id = $1", "id", id)
	if err == nil && len(got) == 0 {
		err = notFound("there is no report %d", id)
	}
	if err != nil {
		return nil, err
	}
	return &got[0], nil
}

// Photos returns the pictures sent with a record.
func (s *Store) Photos(ctx context.Context, record int64) ([]Photo, error) {
	return rows[Photo](ctx, s, `SELECT type, body FROM attachments WHERE record = $1 ORDER BY pos`, record)
}
