package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// imported returns a store with the full firm and the jobs flat and villa.
func imported(tb testing.TB) *Store {
	tb.Helper()
	s := open(tb)
	if _, err := s.Import(context.Background(), Import{Firm: fullFirm(), Jobs: []rooms.Job{fullJob("flat"), fullJob("villa")}}, noon); err != nil {
		tb.Fatal(err)
	}
	return s
}

// fullPlan has something in every field.
func fullPlan() *scheduler.Plan {
	var p scheduler.Plan
	v := reflect.ValueOf(&p).Elem()
	f := new(filler)
	for i := range v.NumField() {
		if name := v.Type().Field(i).Name; name != "Firm" && name != "Epoch" {
			f.fill(v.Field(i))
		}
	}
	p.Firm = *fullFirm()
	p.Epoch = time.Date(2026, 11, 26, 0, 0, 0, 0, p.Firm.Zone)
	p.Finish, p.Bound = 5000, 4000
	for i := range p.Activities {
		a := &p.Activities[i]
		a.Room, a.Site, a.Crew = "flat/bath-1", "flat/mill", "north"
		a.Start, a.Finish = 480+600*i, 1000+600*i
		a.Work = []scheduler.Interval{{Start: a.Start, End: a.Start + 200}, {Start: a.Start + 260, End: a.Finish}}
	}
	for i := range p.Areas {
		p.Areas[i].Activity, p.Areas[i].Crew = p.Activities[i].ID, "north"
		p.Areas[i].Start, p.Areas[i].Finish = p.Activities[i].Start, p.Activities[i].Finish
	}
	return &p
}

func TestPlanRoundTrip(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	if _, err := s.CurrentPlan(ctx); !errors.Is(err, ErrNotFound) {
		t.Errorf("a plan before there is one: %v", err)
	}
	p := fullPlan()
	doc := []byte(`{"format": "potlife-plan/1",   "kept": "letter by letter"}`)
	id, err := s.SavePlan(ctx, NewPlan{Plan: p, Document: doc, Reason: "first", Messages: []Message{{Key: "m1", Channel: "page"}}}, noon)
	if err != nil {
		t.Fatal(err)
	}
	reads := map[string]func() (*SavedPlan, error){
		"from the database": func() (*SavedPlan, error) { return s.PlanByID(ctx, id) },
		"as remembered":     func() (*SavedPlan, error) { return s.CurrentPlan(ctx) },
		"remembered, after the last one was changed": func() (*SavedPlan, error) {
			got, err := s.CurrentPlan(ctx)
			if err == nil {
				clear(got.Document)
				ruin(reflect.ValueOf(got.Plan).Elem())
			}
			return s.CurrentPlan(ctx)
		},
	}
	for how, read := range reads {
		got, err := read()
		if err != nil {
			t.Fatal(err)
		}
		if d := same(fullPlan(), got.Plan); d != "" {
			t.Errorf("%s (-saved +read):\n%s", how, d)
		}
		if got.ID != id || got.Reason != "first" || !bytes.Equal(got.Document, doc) || !got.MadeAt.Equal(noon) {
			t.Errorf("%s: read %+v, document %s", how, got.PlanInfo, got.Document)
		}
	}
	if got, err := s.Document(ctx, id); err != nil || !bytes.Equal(got, doc) {
		t.Errorf("Document: %s, %v", got, err)
	}
	if m, err := s.Messages(ctx, true, 10); err != nil || len(m) != 1 || m[0].Key != "m1" {
		t.Errorf("messages %v, %v", m, err)
	}
}

// ruin overwrites all that a value consists of, in place.
func ruin(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				ruin(v.Field(i))
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			ruin(v.Index(i))
		}
	case reflect.Map:
		v.Clear()
	default:
		v.SetZero()
	}
}

func TestPlanHistory(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	var ids []int64
	for i := range 3 {
		p := fullPlan()
		p.Status = fmt.Sprint("status ", i)
		id, err := s.SavePlan(ctx, NewPlan{Plan: p, Reason: fmt.Sprint("reason ", i)}, noon.Add(time.Duration(i)*time.Hour))
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, id)
	}
	for i, at := range []time.Duration{30 * time.Minute, 90 * time.Minute, 100 * time.Hour} {
		got, err := s.PlanAt(ctx, noon.Add(at))
		if err != nil || got.ID != ids[i] || got.Plan.Status != fmt.Sprint("status ", i) {
			t.Errorf("PlanAt(%v) = %+v, %v; want plan %d", at, got, err, ids[i])
		}
	}
	if _, err := s.PlanAt(ctx, noon.Add(-time.Hour)); !errors.Is(err, ErrNotFound) {
		t.Errorf("PlanAt before the first: %v", err)
	}
	if l, err := s.Plans(ctx, 2); err != nil || len(l) != 2 || l[0].ID != ids[2] {
		t.Errorf("Plans: %v, %v", l, err)
	}
	// A plan made from one that is no longer in force is refused.
	if _, err := s.SavePlan(ctx, NewPlan{Plan: fullPlan(), Replaces: ids[1]}, noon); !errors.Is(err, ErrConflict) {
		t.Errorf("a plan that replaces an old one: %v", err)
	}
	if info, err := s.CurrentPlanInfo(ctx); err != nil || info.ID != ids[2] {
		t.Errorf("current plan %d, %v; want %d", info.ID, err, ids[2])
	}
}

// Rows of the plan in force after a series of changes are those that the last
// plan alone would give.
func TestPlanRowsFollowTheCurrentPlan(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	changes := []func(p *scheduler.Plan){
		func(*scheduler.Plan) {},
		func(p *scheduler.Plan) { p.Activities[0].State = "done" },
		func(p *scheduler.Plan) { p.Activities[1].Start += 15; p.Activities[1].Work[0].Start += 15 },
		func(p *scheduler.Plan) { p.Activities, p.Areas = p.Activities[:1], p.Areas[:1] },
		func(p *scheduler.Plan) { p.Epoch = p.Epoch.AddDate(0, 0, 1) }, // the same minutes are other instants
		func(p *scheduler.Plan) { p.Activities[0].Crew = ""; p.Activities[0].Work = nil },
		func(p *scheduler.Plan) { p.Areas[0].Pieces = p.Areas[0].Pieces[:1] },
	}
	for i, change := range changes {
		p := fullPlan()
		change(p)
		if _, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon); err != nil {
			t.Fatalf("change %d: %v", i, err)
		}
		got := planRowsText(t, s)
		if _, err := s.pool.Exec(ctx, `TRUNCATE activities CASCADE`); err != nil {
			t.Fatal(err)
		}
		if _, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon); err != nil {
			t.Fatal(err)
		}
		if want := planRowsText(t, s); got != want {
			t.Errorf("change %d: rows\n%s\nwant\n%s", i, got, want)
		}
	}
}

func planRowsText(t *testing.T, s *Store) string {
	t.Helper()
	var text string
	err := s.pool.QueryRow(context.Background(), `
		SELECT string_agg(line, E'\n' ORDER BY line) FROM (
			SELECT (to_jsonb(a) - 'plan')::text FROM activities a
			UNION ALL SELECT to_jsonb(b)::text FROM bookings b
			UNION ALL SELECT (to_jsonb(s) - 'plan')::text FROM setting_areas s) all_rows (line)`).Scan(&text)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func TestCrewIsNeverAtTwoSites(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	p := fullPlan()
	if _, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon); err != nil {
		t.Fatal(err)
	}
	before := planRowsText(t, s)
	p = clone(p) // what was saved stays as it is
	b := &p.Activities[1]
	b.Job, b.Room, b.Site = "villa", "villa/bath-1", "villa/mill"
	b.Work = []scheduler.Interval{{Start: p.Activities[0].Work[0].End - 1, End: 900}} // one minute of both
	_, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon)
	if !errors.Is(err, ErrConflict) || !strings.Contains(err.Error(), "two sites at once") {
		t.Errorf("a double booking: %v", err)
	}
	if planRowsText(t, s) != before {
		t.Error("a refused plan left rows")
	}
	// Back to back is fine, and so is the same site at the same time.
	b.Work[0].Start++
	b.Work[0].End = p.Activities[0].Work[1].Start
	if _, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon); err != nil {
		t.Errorf("back to back: %v", err)
	}
	p = clone(p)
	b = &p.Activities[1]
	b.Job, b.Room, b.Site, b.Work[0].Start = "flat", "flat/bath-2", "flat/mill", 500
	if _, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon); err != nil {
		t.Errorf("two activities at one site: %v", err)
	}
}

func TestPlanForARoomThatIsGone(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	p := fullPlan()
	p.Activities[0].Room = "flat/attic"
	if _, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon); !errors.Is(err, ErrConflict) {
		t.Errorf("error %v", err)
	}
	// A room that leaves its job takes its planned work along.
	if _, err := s.SavePlan(ctx, NewPlan{Plan: fullPlan()}, noon); err != nil {
		t.Fatal(err)
	}
	j := fullJob("flat")
	j.Sites[0].Rooms = j.Sites[0].Rooms[1:]
	if _, err := s.ImportJobs(ctx, []rooms.Job{j}, noon); err != nil {
		t.Fatal(err)
	}
	var n int
	if err := s.pool.QueryRow(ctx, `SELECT count(*) FROM activities`).Scan(&n); err != nil || n != 0 {
		t.Errorf("%d activities of a room that is gone, %v", n, err)
	}
}

func TestConcurrentSavesFormAChain(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	first, err := s.SavePlan(ctx, NewPlan{Plan: fullPlan()}, noon)
	if err != nil {
		t.Fatal(err)
	}
	errs := make(chan error, 8)
	for range cap(errs) {
		go func() {
			_, err := s.SavePlan(ctx, NewPlan{Plan: fullPlan(), Replaces: first}, noon)
			errs <- err
		}()
	}
	won := 0
	for range cap(errs) {
		if err := <-errs; err == nil {
			won++
		} else if !errors.Is(err, ErrConflict) {
			t.Error(err)
		}
	}
	if won != 1 {
		t.Errorf("%d of 8 plans replaced plan %d; want 1", won, first)
	}
}

func TestPrunePlans(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	var ids []int64
	for i := range 6 { // three a day on two days
		p := fullPlan()
		p.Summary = []string{strings.Repeat(fmt.Sprint("plan ", i, " "), 3000)}
		id, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon.AddDate(0, 0, i/3))
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, id)
	}
	n, err := s.PrunePlans(ctx, noon.AddDate(0, 0, 1))
	// Of the first day the last plan stays, and the first because rows date from it.
	if err != nil || n != 1 {
		t.Errorf("pruned %d, %v; want 1", n, err)
	}
	for i, id := range ids {
		_, err := s.PlanByID(ctx, id)
		if gone := errors.Is(err, ErrNotFound); gone != (i == 1) || err != nil && !gone {
			t.Errorf("plan %d of day %d: %v", i, i/3, err)
		}
	}
	var unused int
	if err := s.pool.QueryRow(ctx, `SELECT count(*) FROM chunks WHERE hash NOT IN (SELECT unnest(chunks) FROM plan_parts)`).Scan(&unused); err != nil || unused != 0 {
		t.Errorf("%d chunks that nothing uses, %v", unused, err)
	}
}

func TestCut(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	text := make([]byte, 1<<20)
	for i := range text {
		text[i] = byte(r.IntN(20)) + 'a'
	}
	for _, n := range []int{0, 1, chunkLeast, chunkLeast + 1, chunkMost, len(text)} {
		chunks := newPart("", text[:n], nil).chunks
		if !bytes.Equal(bytes.Join(chunks, nil), text[:n]) {
			t.Fatalf("the chunks of %d bytes do not make them up again", n)
		}
		for i, c := range chunks {
			if len(c) > chunkMost || len(c) < chunkLeast && i < len(chunks)-1 {
				t.Errorf("chunk %d of %d bytes", i, len(c))
			}
		}
	}
	// A change in the middle leaves most chunks as they were.
	changed := bytes.Join([][]byte{text[:500_000], []byte("a few bytes more"), text[500_000:]}, nil)
	have := map[string]bool{}
	for _, c := range newPart("", text, nil).chunks {
		have[string(c)] = true
	}
	fresh, chunks := 0, newPart("", changed, nil).chunks
	for _, c := range chunks {
		if !have[string(c)] {
			fresh++
		}
	}
	if len(chunks) < 40 || fresh == 0 || fresh > 5 {
		t.Errorf("%d of %d chunks are new after one insertion; want 1 to 5", fresh, len(chunks))
	}
}

func TestPlanStoresDifferencesOnly(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	p := fullPlan()
	r := rand.New(rand.NewPCG(3, 4))
	for i := range 3000 {
		p.Layouts[0].Zones[0].Pieces = append(p.Layouts[0].Zones[0].Pieces,
			takeoff.Piece{ID: fmt.Sprint("flat/bath-1/south/field/", i), Polygon: rooms.Polygon{Outer: rectangle(rooms.Length(r.IntN(1000)), 0, 200, 300)}})
	}
	stored := func() (n int64) {
		if err := s.pool.QueryRow(ctx, `SELECT coalesce(sum(octet_length(body)), 0) FROM chunks`).Scan(&n); err != nil {
			t.Fatal(err)
		}
		return n
	}
	if _, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon); err != nil {
		t.Fatal(err)
	}
	first := stored()
	p = clone(p) // what was saved stays as it is
	p.Layouts[0].Zones[0].Pieces[1500].OnSite = true
	if _, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon); err != nil {
		t.Fatal(err)
	}
	if more := stored() - first; more <= 0 || more > first/5 {
		t.Errorf("the first plan takes %d bytes, one with one piece changed %d more", first, more)
	}
}
