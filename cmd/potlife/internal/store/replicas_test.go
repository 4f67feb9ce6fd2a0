package store

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"potlife/integration/pgtest"
	"potlife/rooms"
)

// replica is one of several processes that all issue the next day and send what
// is to be sent, until they are killed. A line on the standard output is a
// message that went out.
func replica(ctx context.Context, s *Store) error {
	for {
		last, err := value[int](ctx, s, `SELECT coalesce(max(work_date) - $1::date, 0) FROM issues`, day(workDay))
		if err != nil {
			return err
		}
		if _, err := s.IssueSheet(ctx, killSheet(last+1), time.Now()); err != nil {
			return err
		}
		got, err := s.ClaimMessages(ctx, []string{"mail"}, 5, 300*time.Millisecond, time.Now())
		if err != nil {
			return err
		}
		for _, m := range got {
			fmt.Println(m.Key)
			if err := s.MessageDone(ctx, m.ID, time.Now()); err != nil {
				return err
			}
		}
	}
}

// post collects what the replicas sent.
type post struct {
	mu   sync.Mutex
	sent map[string]int
}

func (p *post) add(key string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.sent[key]++
}

// lifeOfAReplica starts a replica and kills it some time after its first
// message.
func lifeOfAReplica(t *testing.T, url string, r *rand.Rand, p *post) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), killHelper+"=replica 0 "+url)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Error(err)
		return
	}
	if err := cmd.Start(); err != nil {
		t.Error(err)
		return
	}
	defer time.AfterFunc(20*time.Second, func() { _ = cmd.Process.Kill() }).Stop() // it may find nothing to send
	first := true
	for lines := bufio.NewScanner(out); lines.Scan(); first = false {
		if strings.HasPrefix(lines.Text(), "error") {
			t.Error("a replica failed by itself: ", lines.Text())
		}
		p.add(lines.Text())
		if first {
			time.AfterFunc(time.Duration(r.IntN(60))*time.Millisecond, func() { _ = cmd.Process.Kill() })
		}
	}
	_ = cmd.Wait()
}

// Three replicas work on one database and are killed over and over: each day is
// issued once, every message goes out, and one that goes out again does so under
// the same key.
func TestReplicasKilledOverAndOver(t *testing.T) {
	ctx := context.Background()
	url := pgtest.URL(t)
	s := openURL(t, url)
	if _, err := s.Import(ctx, Import{Firm: fullFirm(), Jobs: []rooms.Job{fullJob("flat")}}, noon); err != nil {
		t.Fatal(err)
	}
	seed := uint64(time.Now().UnixNano())
	p := &post{sent: map[string]int{}}
	var wg sync.WaitGroup
	for i := range 3 {
		wg.Go(func() {
			r := rand.New(rand.NewPCG(seed, uint64(i)))
			for range killRounds() {
				lifeOfAReplica(t, url, r, p)
			}
		})
	}
	wg.Wait()
	for { // somebody survives
		got, err := s.ClaimMessages(ctx, []string{"mail"}, 50, time.Minute, time.Now())
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range got {
			p.add(m.Key)
			if err := s.MessageDone(ctx, m.ID, time.Now()); err != nil {
				t.Fatal(err)
			}
		}
		if open, err := s.Messages(ctx, true, 10); err != nil {
			t.Fatal(err)
		} else if len(open) == 0 {
			break
		}
		time.Sleep(20 * time.Millisecond) // until the leases of the dead run out
	}
	issues, err := s.Issues(ctx, workDay, workDay.AddDays(100_000))
	if err != nil {
		t.Fatal(err)
	}
	again := 0
	for i, issue := range issues {
		if issue.Date() != workDay.AddDays(i+1) || issue.Revision != 1 || !issue.Current() {
			t.Fatalf("issue %d is of %s, revision %d", i+1, issue.Date(), issue.Revision)
		}
		times := p.sent[fmt.Sprint("sheet ", i+1)]
		if times == 0 {
			t.Errorf("the sheet of %s was never sent", issue.Date())
		}
		again += max(0, times-1)
	}
	if len(p.sent) != len(issues) {
		t.Errorf("%d different messages for %d issues", len(p.sent), len(issues))
	}
	t.Logf("seed %d: %d kills, %d days issued, %d messages sent again under their key", seed, 3*killRounds(), len(issues), again)
}
