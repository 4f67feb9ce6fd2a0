package store

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"potlife/rooms"
)

// Everything at once: no write may fail but for a conflict that its caller can
// understand, and what was accepted must be there afterwards.
func TestEverythingAtOnce(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	var mu sync.Mutex
	accepted := map[string]int{}
	writes := map[string]func(n int) error{
		"import": func(n int) error {
			in := Import{Firm: fullFirm(), Jobs: []rooms.Job{fullJob("flat")}}
			in.Firm.Name, in.Jobs[0].Name = fmt.Sprint(n), fmt.Sprint(n)
			if n%3 == 0 {
				in.Firm.Crews = in.Firm.Crews[:1]
				in.Jobs[0].Sites[1].Rooms = nil
			}
			_, err := s.Import(ctx, in, noon)
			return err
		},
		"plan": func(n int) error {
			p := fullPlan()
			p.Activities[n%2].Start, p.Activities[n%2].Title = 490, fmt.Sprint(n)
			p.Activities[0].Crew = []string{"north", "east"}[n%2]
			_, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon)
			return err
		},
		"record": func(n int) error {
			_, err := s.AddRecord(ctx, areaDone(fmt.Sprint(n), "ann", noon), noon)
			return err
		},
		"issue": func(n int) error {
			i := sheet(1, fmt.Sprint("p", n))
			i.Date, i.Crew = workDay.AddDays(n), []string{"north", "east"}[n%2]
			i.Messages[0].Key = fmt.Sprint(n)
			_, err := s.IssueSheet(ctx, i, noon)
			return err
		},
		"order": func(n int) error {
			_, err := s.PlaceOrder(ctx, order(fmt.Sprint("o", n)), "olga", nil, noon)
			return err
		},
		"send": func(n int) error {
			got, err := s.ClaimMessages(ctx, []string{"mail"}, 3, time.Minute, noon)
			for _, m := range got {
				err = errors.Join(err, s.MessageDone(ctx, m.ID, noon))
			}
			return err
		},
	}
	var wg sync.WaitGroup
	for name, write := range writes {
		for worker := range 3 {
			wg.Go(func() {
				r := rand.New(rand.NewPCG(uint64(worker), 5))
				for i := range 8 {
					n := worker*1000 + i*10 + r.IntN(10)
					err := write(n)
					if err != nil && !errors.Is(err, ErrConflict) {
						t.Errorf("%s %d: %v", name, n, err)
					}
					if err == nil {
						mu.Lock()
						accepted[name]++
						mu.Unlock()
					}
				}
			})
		}
	}
	wg.Wait()
	for name, query := range map[string]string{
		"record": `SELECT count(*) FROM records`, "issue": `SELECT count(*) FROM issues`,
		"order": `SELECT count(*) FROM orders`, "plan": `SELECT count(*) FROM plans`,
	} {
		if got := count1(t, s, query); got != accepted[name] || got < 12 {
			t.Errorf("%d %ss accepted of 24, %d there", accepted[name], name, got)
		}
	}
	if accepted["import"] < 12 || accepted["send"] != 24 {
		t.Errorf("accepted: %v", accepted)
	}
}
