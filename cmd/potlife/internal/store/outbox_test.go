package store

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"
)

func enqueueMany(t *testing.T, s *Store, n int) {
	t.Helper()
	var m []Message
	for i := range n {
		m = append(m, Message{Key: fmt.Sprintf("key-%d", i), Channel: "mail", To: "crew@example.org", Body: []byte(`{"n": 1}`)})
	}
	if err := s.Enqueue(context.Background(), m, noon); err != nil {
		t.Fatal(err)
	}
}

func TestOutboxLifeOfAMessage(t *testing.T) {
	ctx := context.Background()
	s := open(t)
	enqueueMany(t, s, 1)
	enqueueMany(t, s, 1) // the same key again adds nothing
	claim := func(at time.Time) []Claimed {
		t.Helper()
		got, err := s.ClaimMessages(ctx, []string{"mail"}, 10, time.Minute, at)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	if got, _ := s.ClaimMessages(ctx, []string{"webhook"}, 10, time.Minute, noon); len(got) != 0 {
		t.Errorf("another channel's message was claimed: %v", got)
	}
	first := claim(noon)
	if len(first) != 1 || first[0].Attempt != 1 || first[0].Key != "key-0" || string(first[0].Body) != `{"n": 1}` {
		t.Fatalf("claimed %+v", first)
	}
	if got := claim(noon.Add(59 * time.Second)); len(got) != 0 {
		t.Errorf("claimed twice: %v", got)
	}
	// The sender died: after the lease somebody else takes over, and the first
	// one's late words count for nothing.
	second := claim(noon.Add(time.Minute))
	if len(second) != 1 || second[0].Attempt != 2 {
		t.Fatalf("claimed %+v after the lease", second)
	}
	if err := s.MessageFailed(ctx, first[0], "too late", noon); err != nil {
		t.Fatal(err)
	}
	at := noon.Add(2 * time.Minute)
	if err := s.MessageRetry(ctx, second[0], "451 try later", at); err != nil {
		t.Fatal(err)
	}
	if got := claim(at.Add(Pause(2) - time.Second)); len(got) != 0 {
		t.Errorf("claimed before its pause was over: %v", got)
	}
	third := claim(at.Add(Pause(2)))
	if len(third) != 1 {
		t.Fatal("not claimed after its pause")
	}
	if err := s.MessageFailed(ctx, third[0], "550 no such user", at); err != nil {
		t.Fatal(err)
	}
	if got := claim(at.Add(100 * time.Hour)); len(got) != 0 {
		t.Errorf("claimed after it was given up: %v", got)
	}
	m, err := s.Messages(ctx, true, 10)
	if err != nil || len(m) != 1 || m[0].FailedAt == nil || m[0].LastError != "550 no such user" || m[0].Attempts != 3 {
		t.Errorf("the outbox shows %+v, %v", m, err)
	}
	if err := s.Revive(ctx, m[0].ID, at); err != nil {
		t.Fatal(err)
	}
	if err := s.Revive(ctx, m[0].ID, at); !errors.Is(err, ErrNotFound) {
		t.Errorf("revived twice: %v", err)
	}
	if got := claim(at); len(got) != 1 {
		t.Error("not claimed after it was revived")
	}
	if err := s.MessageDone(ctx, m[0].ID, at); err != nil {
		t.Fatal(err)
	}
	if got := claim(at.Add(100 * time.Hour)); len(got) != 0 {
		t.Errorf("claimed after it was done: %v", got)
	}
	if open, _ := s.Messages(ctx, true, 10); len(open) != 0 {
		t.Errorf("open messages %v", open)
	}
}

func TestPause(t *testing.T) {
	for n, want := range map[int]time.Duration{1: time.Minute, 2: 2 * time.Minute, 5: 16 * time.Minute, 9: 256 * time.Minute, 10: 6 * time.Hour, 1000: 6 * time.Hour} {
		if got := Pause(n); got != want {
			t.Errorf("Pause(%d) = %v, want %v", n, got, want)
		}
	}
}

func TestOutboxManySenders(t *testing.T) {
	ctx := context.Background()
	s := open(t)
	const n = 500
	enqueueMany(t, s, n)
	var mu sync.Mutex
	sent := map[string]int{}
	var wg sync.WaitGroup
	for range 20 {
		wg.Go(func() {
			for {
				got, err := s.ClaimMessages(ctx, []string{"mail"}, 7, time.Hour, noon)
				if err != nil {
					t.Error(err)
					return
				}
				if len(got) == 0 {
					return
				}
				for _, c := range got {
					mu.Lock()
					sent[c.Key]++
					mu.Unlock()
					if err := s.MessageDone(ctx, c.ID, noon); err != nil {
						t.Error(err)
					}
				}
			}
		})
	}
	wg.Wait()
	if len(sent) != n {
		t.Errorf("%d of %d messages were sent", len(sent), n)
	}
	for k, times := range sent {
		if times != 1 {
			t.Errorf("%s was sent %d times", k, times)
		}
	}
}
