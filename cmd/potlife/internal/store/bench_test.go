package store

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"potlife/integration/pgtest"
	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// Run with POTLIFE_TEST_PG_FSYNC=on, or a commit costs nothing.

// fortyRooms is a plan of the size of 40 bathrooms: 6 surfaces of 50 pieces
// each, 30 activities a room.
func fortyRooms() (*scheduler.Plan, []rooms.Job) {
	r := rand.New(rand.NewPCG(7, 7))
	firm := fullFirm()
	p := &scheduler.Plan{Firm: *firm, Epoch: time.Date(2026, 11, 26, 0, 0, 0, 0, firm.Zone), Today: workDay, Finish: 200_000, Bound: 150_000}
	job := rooms.Job{Key: "tower", Sites: []rooms.Site{{Key: "mill"}}}
	for m := range 40 {
		room := rooms.Room{Key: fmt.Sprintf("bath-%02d", m)}
		for k := range 6 {
			s := rooms.Surface{Key: fmt.Sprintf("wall-%d", k), Outline: rectangle(0, 0, 2000, 2400)}
			s.Edges = make([]rooms.Edge, 4)
			room.Surfaces = append(room.Surfaces, s)
			p.Layouts = append(p.Layouts, layout(r, room.Key, s.Key))
		}
		job.Sites[0].Rooms = append(job.Sites[0].Rooms, room)
		for k := range 30 {
			addActivity(p, m, k, room.Key)
		}
	}
	p.Jobs = []rooms.Job{job}
	return p, p.Jobs
}

func layout(r *rand.Rand, room, surface string) takeoff.Layout {
	path := "tower/" + room + "/" + surface
	z := takeoff.ZoneLayout{Zone: rooms.Zone{Key: "field", Tile: "white"}}
	for i := range 50 {
		x, y := rooms.Length(i%7*302+r.IntN(9)), rooms.Length(i/7*302)
		piece := takeoff.Piece{ID: fmt.Sprintf("%s/field/%d.%02d", path, i/7, i%7), Label: fmt.Sprintf("%d.%02d", i/7, i%7),
			Tile: "white", Polygon: rooms.Polygon{Outer: rectangle(x, y, 300, 300)}, Full: i%7 != 6, AreaMM2: 90_000}
		if !piece.Full {
			piece.Cuts = []takeoff.Cut{{Side: "right", Sized: true, Drawn: x * rooms.Millimetre, Size: x * rooms.Millimetre, Tool: takeoff.Snap, At: "right edge, inside corner"}}
		}
		z.Pieces = append(z.Pieces, piece)
	}
	return takeoff.Layout{Job: "tower", Site: "tower/mill", Room: "tower/" + room, Surface: path, Zones: []takeoff.ZoneLayout{z}}
}

func addActivity(p *scheduler.Plan, m, k int, room string) {
	start := (m*30+k)*150 + 480
	a := scheduler.Activity{ID: fmt.Sprintf("tower/%s/%d", room, k), Job: "tower", Site: "tower/mill", Room: "tower/" + room, Kind: "set",
		Title: fmt.Sprintf("set wall, area %d", k), Crew: []string{"north", "east"}[m%2], Setters: 1, Start: start, Finish: start + 120,
		Work: []scheduler.Interval{{Start: start, End: start + 120}}, State: "planned"}
	area := scheduler.Area{ID: a.ID + "/area", Activity: a.ID, Crew: a.Crew, Start: start, Finish: start + 120}
	for _, piece := range p.Layouts[len(p.Layouts)-1-k%6].Zones[0].Pieces[k/6*10 : k/6*10+10] {
		area.Pieces = append(area.Pieces, piece.ID)
	}
	p.Activities, p.Areas = append(p.Activities, a), append(p.Areas, area)
}

// change is what a record does to a plan: one surface is cut anew, the rest of
// that room moves by a quarter of an hour.
func change(p *scheduler.Plan, i int) {
	m := i % 40
	for k := range p.Layouts[m*6].Zones[0].Pieces {
		p.Layouts[m*6].Zones[0].Pieces[k].Polygon.Outer[1].X += rooms.Millimetre
	}
	for k := range 30 {
		a := &p.Activities[m*30+k]
		shift := 15 - 30*(i/40%2)
		a.Start, a.Finish = a.Start+shift, a.Finish+shift
		a.Work = []scheduler.Interval{{Start: a.Start, End: a.Finish}}
		p.Areas[m*30+k].Start, p.Areas[m*30+k].Finish = a.Start, a.Finish
	}
}

func BenchmarkSavePlan(b *testing.B) {
	ctx := context.Background()
	s := open(b)
	p, jobs := fortyRooms()
	if _, err := s.Import(ctx, Import{Firm: &p.Firm, Jobs: jobs}, noon); err != nil {
		b.Fatal(err)
	}
	doc, err := json.Marshal(p)
	if err != nil {
		b.Fatal(err)
	}
	if _, err := s.SavePlan(ctx, NewPlan{Plan: p, Document: doc}, noon); err != nil {
		b.Fatal(err)
	}
	b.Logf("%s, state of %d KiB", pgtest.What(b), len(doc)>>10)
	var took []time.Duration
	i := 0
	for b.Loop() {
		b.StopTimer()
		p = clone(p) // what was saved stays as it is
		change(p, i)
		i++
		if doc, err = json.Marshal(p.Layouts); err != nil { // stands for the plan document
			b.Fatal(err)
		}
		b.StartTimer()
		began := time.Now()
		if _, err := s.SavePlan(ctx, NewPlan{Plan: p, Document: doc}, noon); err != nil {
			b.Fatal(err)
		}
		took = append(took, time.Since(began))
	}
	percentiles(b, took)
}

func BenchmarkCurrentPlan(b *testing.B) {
	ctx := context.Background()
	s := open(b)
	p, jobs := fortyRooms()
	if _, err := s.Import(ctx, Import{Firm: &p.Firm, Jobs: jobs}, noon); err != nil {
		b.Fatal(err)
	}
	if _, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := s.CurrentPlan(ctx); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAddRecord(b *testing.B) {
	ctx := context.Background()
	s := imported(b)
	b.Log(pgtest.What(b))
	var took []time.Duration
	i := 0
	for b.Loop() {
		i++
		began := time.Now()
		if _, err := s.AddRecord(ctx, areaDone(fmt.Sprint("k", i), "ann", noon), noon); err != nil {
			b.Fatal(err)
		}
		took = append(took, time.Since(began))
	}
	percentiles(b, took)
}

func BenchmarkFirmAndJobs(b *testing.B) {
	ctx := context.Background()
	s := open(b)
	p, jobs := fortyRooms()
	if _, err := s.Import(ctx, Import{Firm: &p.Firm, Jobs: jobs}, noon); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, _, err := s.FirmAndJobs(ctx); err != nil {
			b.Fatal(err)
		}
	}
}

func percentiles(b *testing.B, took []time.Duration) {
	slices.Sort(took)
	at := func(q float64) float64 { return float64(took[int(q*float64(len(took)-1))].Microseconds()) / 1000 }
	b.ReportMetric(at(0.5), "p50-ms")
	b.ReportMetric(at(0.99), "p99-ms")
}
