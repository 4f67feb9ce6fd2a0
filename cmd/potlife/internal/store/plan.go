package store

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/cmd/potlife/internal/onceprinted"
	"potlife/rooms"
	"potlife/scheduler"
)

// NewPlan is a plan to be put in force.
type NewPlan struct {
	// Plan is remembered as it stands and must not be changed afterwards.
	Plan *scheduler.Plan
	// Document is the plan document as JSON; nil where none is kept. It is remembered
	// as it stands and must not be changed afterwards.
	Document []byte
	// Printed is the plan as Store.PrintPlan writes it out; nil: it is written out
	// when it is saved.
	Printed *PrintedPlan
	Reason  string // why it was made, in words
	// Basis is Store.Basis as it was before the plan's input was read.
	Basis string
	// Replaces is the plan it was made from: where another one has come into
	// force since, the new plan is refused with ErrConflict and should be made
	// again. 0 does not check.
	Replaces int64
	// Days is how many days were issued (IssuedDays) when the input was read: where
	// another one was issued since, the plan is refused with ErrConflict, for it does
	// not know what is frozen. Nil does not check.
	Days *int
	// Messages go out because of it.
	Messages []Message
}

// PlanInfo is a plan in short.
type PlanInfo struct {
	ID     int64     `db:"id"`
	MadeAt time.Time `db:"made_at"`
	Today  day       `db:"today"`
	Finish time.Time `db:"finish"`
	Bound  time.Time `db:"bound"`
	Status string    `db:"status"`
	Reason string    `db:"reason"`
	Basis  string    `db:"basis"`
}

// SavedPlan is a plan read back.
type SavedPlan struct {
	PlanInfo
	// Plan is the plan with the firm it was made for.
	Plan *scheduler.Plan
	// Document is nil where none was kept.
	Document []byte
}

// SavePlan puts a plan in force and returns its number. Only what differs from
// the plans before it is written. The database refuses a plan that has a crew
// at two sites at once (ErrConflict), and one for rooms that have been taken out
// of their job meanwhile.
func (s *Store) SavePlan(ctx context.Context, n NewPlan, now time.Time) (int64, error) {
	ready, err := prepare(n, s.latest.saved())
	if err != nil {
		return 0, err
	}
	var id int64
	err = s.write(ctx, func(tx pgx.Tx) error {
		if err := lock(ctx, tx, lockPlan); err != nil {
			return err
		}
		if err := checkReplaces(ctx, tx, n.Replaces); err != nil {
			return err
		}
		if err := checkDays(ctx, tx, n.Days); err != nil {
			return err
		}
		p := n.Plan
		err := tx.QueryRow(ctx, `
			INSERT INTO plans (made_at, today, epoch, finish, bound, status, reason, basis)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8) RETURNING id`,
			now, day(p.Today), p.Epoch, instant(p, p.Finish), instant(p, min(p.Bound, p.Finish)), p.Status, n.Reason, n.Basis).Scan(&id)
		if err != nil {
			return err
		}
		if err := saveParts(ctx, tx, id, ready.parts); err != nil {
			return err
		}
		if err := ready.rows.save(ctx, tx, id); err != nil {
			return err
		}
		if err := bookOffcuts(ctx, tx, p, now); err != nil {
			return err
		}
		return enqueue(ctx, tx, n.Messages, now)
	})
	if err == nil {
		s.latest.set(id, ready)
	}
	return id, err
}

func checkReplaces(ctx context.Context, tx pgx.Tx, replaces int64) error {
	if replaces == 0 {
		return nil
	}
	var current int64
	if err := tx.QueryRow(ctx, `SELECT coalesce(max(id), 0) FROM plans`).Scan(&current); err != nil {
		return err
	}
	if current != replaces {
		return conflict("the plan was made from plan %d, and plan %d is in force by now; make it again", replaces, current)
	}
	return nil
}

func checkDays(ctx context.Context, tx pgx.Tx, known *int) error {
	if known == nil {
		return nil
	}
	var days int
	if err := tx.QueryRow(ctx, `SELECT count(*) FROM work_days`).Scan(&days); err != nil {
		return err
	}
	if days != *known {
		return conflict("%d days are issued by now and the plan knows of %d; make it again", days, *known)
	}
	return nil
}

// CurrentPlan returns the plan in force; the caller may change what it gets.
// ErrNotFound: there is none yet.
func (s *Store) CurrentPlan(ctx context.Context) (*SavedPlan, error) {
	info, err := s.CurrentPlanInfo(ctx)
	if err != nil {
		return nil, err
	}
	if plan, document, ok := s.latest.get(info.ID); ok {
		return &SavedPlan{PlanInfo: info, Plan: clone(plan), Document: bytes.Clone(document)}, nil
	}
	saved, err := s.plan(ctx, `true`)
	if err == nil { // saved here in the meantime, perhaps: then others hold it too
		saved.Plan, saved.Document = clone(saved.Plan), bytes.Clone(saved.Document)
	}
	return saved, err
}

// CurrentState is CurrentPlan for those who only read the plan and have no use for the
// document: the plan is shared and must not be changed, the document may be left out.
func (s *Store) CurrentState(ctx context.Context) (*SavedPlan, error) {
	info, err := s.CurrentPlanInfo(ctx)
	if err != nil {
		return nil, err
	}
	if plan, _, ok := s.latest.get(info.ID); ok {
		return &SavedPlan{PlanInfo: info, Plan: plan}, nil
	}
	return s.plan(ctx, `true`)
}

// PlanAt returns the plan that was in force at an instant. Like all plans that are
// asked for by more than being in force it is shared, and must not be changed.
func (s *Store) PlanAt(ctx context.Context, at time.Time) (*SavedPlan, error) {
	return s.plan(ctx, `made_at <= $1`, at)
}

// PlanInfoAt is PlanAt without the plan.
func (s *Store) PlanInfoAt(ctx context.Context, at time.Time) (PlanInfo, error) {
	got, err := rows[PlanInfo](ctx, s, `SELECT `+planColumns+` FROM plans WHERE made_at <= $1 ORDER BY id DESC LIMIT 1`, at)
	if err == nil && len(got) == 0 {
		err = notFound("there was no plan yet")
	}
	if err != nil {
		return PlanInfo{}, err
	}
	return got[0], nil
}

// PlanByID returns any plan that was in force; it must not be changed.
func (s *Store) PlanByID(ctx context.Context, id int64) (*SavedPlan, error) {
	return s.plan(ctx, `id = $1`, id)
}

// PlanWithout returns the last plan that was made before a record (its number)
// was known, where every day issued since it was made was issued from it or from
// one before: it can stand in for the plan in force when the record turns out to
// be wrong. ErrNotFound: there is none.
func (s *Store) PlanWithout(ctx context.Context, record int64) (*SavedPlan, error) {
	return s.plan(ctx, `coalesce(substring(basis from '^records (\d+)')::bigint, 0) < $1
		AND basis <> '' AND id >= (SELECT coalesce(max(plan), 0) FROM issues WHERE revision = 1)
		AND id >= (SELECT coalesce(max(id), 0) FROM plans WHERE basis = '')`, record)
}

// PlanBefore returns the last plan that was made before a record (its number) was
// known, whatever has been issued since. ErrNotFound: there is none.
func (s *Store) PlanBefore(ctx context.Context, record int64) (*SavedPlan, error) {
	return s.plan(ctx, `coalesce(substring(basis from '^records (\d+)')::bigint, 0) < $1 AND basis <> ''`, record)
}

// Knows is the number of the last record a plan was made from.
func (i PlanInfo) Knows() int64 {
	var n int64
	if _, err := fmt.Sscanf(i.Basis, "records %d", &n); err != nil {
		return 0
	}
	return n
}

const planColumns = `id, made_at, today, finish, bound, status, reason, basis`

// CurrentPlanInfo is CurrentPlan without the plan, to see whether one that was
// read before is still in force.
func (s *Store) CurrentPlanInfo(ctx context.Context) (PlanInfo, error) {
	got, err := s.Plans(ctx, 1)
	if err == nil && len(got) == 0 {
		err = notFound("no plan has been made yet")
	}
	if err != nil {
		return PlanInfo{}, err
	}
	return got[0], nil
}

// Plans lists plans, the latest first.
func (s *Store) Plans(ctx context.Context, limit int) ([]PlanInfo, error) {
	return rows[PlanInfo](ctx, s, `SELECT `+planColumns+` FROM plans ORDER BY id DESC LIMIT $1`, limit)
}

// Document returns the plan document of a plan as JSON.
func (s *Store) Document(ctx context.Context, id int64) ([]byte, error) {
	var text []byte
	err := s.read(ctx, func(tx pgx.Tx) error {
		got, there, err := loadPart(ctx, tx, id, "document")
		if err == nil && !there {
			return notFound("there is no plan %d with a document", id)
		}
		text = got
		return err
	})
	return text, err
}

// plan reads a plan, the one remembered from memory: it is not to be changed.
func (s *Store) plan(ctx context.Context, where string, args ...any) (*SavedPlan, error) {
	var out SavedPlan
	err := s.read(ctx, func(tx pgx.Tx) error {
		rows, _ := tx.Query(ctx, `SELECT `+planColumns+` FROM plans WHERE `+where+` ORDER BY id DESC LIMIT 1`, args...)
		var err error
		if out.PlanInfo, err = pgx.CollectExactlyOneRow(rows, pgx.RowToStructByName[PlanInfo]); err == pgx.ErrNoRows {
			return notFound("there is no such plan")
		} else if err != nil {
			return err
		}
		var kept bool
		if out.Plan, out.Document, kept = s.latest.get(out.ID); kept {
			return nil
		}
		if out.Plan, err = loadState(ctx, tx, out.ID); err != nil {
			return err
		}
		out.Document, _, err = loadPart(ctx, tx, out.ID, "document")
		return err
	})
	if err != nil {
		return nil, err
	}
	return &out, nil
}

// firmState is a firm as JSON; a time zone has no form of its own there.
type firmState struct {
	Firm scheduler.Firm
	Zone string
}

// prepared is all that SavePlan writes and remembers.
type prepared struct {
	parts    []part
	rows     *planRows
	kept     *scheduler.Plan // the plan as it is read back; its lists are the plan's own
	document []byte
	state    *onceprinted.Text[scheduler.Plan]
}

// part finds a part by its name, nil where there is none.
func (p *prepared) part(name string) *part {
	for i := range p.parts {
		if p.parts[i].name == name {
			return &p.parts[i]
		}
	}
	return nil
}

// prepare works on as many processors as there are; before is what was prepared for
// the plan saved last, empty at first.
func prepare(n NewPlan, before *prepared) (*prepared, error) {
	var document part
	var failed error
	var wg sync.WaitGroup
	wg.Go(func() { document = newPart("document", n.Document, before.part("document")) })
	if n.Printed == nil {
		n.Printed, failed = printPlan(n.Plan, before)
	}
	wg.Wait()
	if failed != nil {
		return nil, failed
	}
	if n.Printed.of != n.Plan {
		return nil, invalid("what was written out is another plan")
	}
	p := n.Printed.prepared
	p.document = n.Document
	if n.Document != nil {
		p.parts = append(slices.Clip(p.parts), document)
	}
	return &p, nil
}

// PrintedPlan is all that SavePlan writes of a plan besides its document.
type PrintedPlan struct {
	of       *scheduler.Plan
	prepared prepared
}

// PrintPlan writes a plan out as SavePlan does, so that it need not wait for the
// plan's document or its check. The plan must not be changed afterwards.
func (s *Store) PrintPlan(p *scheduler.Plan) (*PrintedPlan, error) {
	return printPlan(p, s.latest.saved())
}

func printPlan(p *scheduler.Plan, before *prepared) (*PrintedPlan, error) {
	if p == nil {
		return nil, invalid("no plan to save")
	}
	if p.Firm.Zone == nil {
		return nil, invalid("the plan's firm has no time zone")
	}
	out := PrintedPlan{of: p}
	var partsErr, rowsErr error
	var wg sync.WaitGroup
	wg.Go(func() { out.prepared.parts, out.prepared.state, partsErr = partsOf(p, before) })
	kept := *p
	kept.Epoch = kept.Epoch.In(kept.Firm.Zone) // as it is read back
	out.prepared.kept = &kept
	out.prepared.rows, rowsErr = newPlanRows(p)
	wg.Wait()
	if err := errors.Join(partsErr, rowsErr); err != nil {
		return nil, err
	}
	out.prepared.state.Keep(&kept)
	return &out, nil
}

func partsOf(p *scheduler.Plan, before *prepared) ([]part, *onceprinted.Text[scheduler.Plan], error) {
	firm, err := json.Marshal(firmState{p.Firm, p.Firm.Zone.String()})
	if err != nil {
		return nil, nil, fmt.Errorf("store a plan's firm: %w", err)
	}
	state, err := onceprinted.Print(p, before.state)
	if err != nil {
		return nil, nil, fmt.Errorf("store a plan: %w", err)
	}
	return []part{newPart("firm", firm, before.part("firm")), newPart("state", state.Bytes, before.part("state"))}, state, nil
}

func loadState(ctx context.Context, tx pgx.Tx, id int64) (*scheduler.Plan, error) {
	text, there, err := loadPart(ctx, tx, id, "state")
	if err != nil || !there {
		return nil, orMissing(err, id, "state")
	}
	var p scheduler.Plan
	if err := json.Unmarshal(text, &p); err != nil {
		return nil, fmt.Errorf("read plan %d: %w", id, err)
	}
	if text, there, err = loadPart(ctx, tx, id, "firm"); err != nil || !there {
		return nil, orMissing(err, id, "firm")
	}
	var f firmState
	if err := json.Unmarshal(text, &f); err != nil {
		return nil, fmt.Errorf("read the firm of plan %d: %w", id, err)
	}
	p.Firm = f.Firm
	if p.Firm.Zone, err = time.LoadLocation(f.Zone); err != nil {
		return nil, fmt.Errorf("read the firm of plan %d: %w", id, err)
	}
	p.Epoch = p.Epoch.In(p.Firm.Zone)
	return &p, nil
}

func orMissing(err error, id int64, part string) error {
	if err != nil {
		return err
	}
	return fmt.Errorf("plan %d has no %s", id, part)
}

// instant turns a plan's minute into an instant.
func instant(p *scheduler.Plan, minute int) time.Time {
	return p.Epoch.Add(time.Duration(minute) * time.Minute)
}

// PrunePlans forgets plans made before an instant, except the last one of each
// (UTC) day, those that sheets were issued from and those that rows of the plan
// in force date from. It returns how many it forgot.
func (s *Store) PrunePlans(ctx context.Context, before time.Time) (int, error) {
	var n int
	err := s.write(ctx, func(tx pgx.Tx) error {
		if err := lock(ctx, tx, lockPlan); err != nil { // nobody may rely on a chunk meanwhile
			return err
		}
		tag, err := tx.Exec(ctx, `
			DELETE FROM plans p
			WHERE made_at < $1
				AND EXISTS (SELECT FROM plans q WHERE q.id > p.id AND q.made_at AT TIME ZONE 'UTC' < date_trunc('day', p.made_at AT TIME ZONE 'UTC') + interval '1 day')
				AND NOT EXISTS (SELECT FROM issues WHERE plan = p.id)
				AND NOT EXISTS (SELECT FROM activities WHERE plan = p.id)
				AND NOT EXISTS (SELECT FROM setting_areas WHERE plan = p.id)`, before)
		if err != nil {
			return err
		}
		n = int(tag.RowsAffected())
		_, err = tx.Exec(ctx, `
			DELETE FROM chunks c
			WHERE NOT EXISTS (SELECT FROM (SELECT DISTINCT unnest(chunks) AS hash FROM plan_parts) used WHERE used.hash = c.hash)`)
		return err
	})
	return n, err
}

// Date is the first day the plan was free to decide.
func (i PlanInfo) Date() rooms.Date { return rooms.Date(i.Today) }
