package store

import (
	"context"
	"errors"
	"strings"
	"sync"
	"testing"

	"potlife/rooms"
)

func TestAnOrderWaitsForTheSignature(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	wanted := map[string]string{"flat/bath-1": "d1", "flat/hall": "d2"}
	place := func(wanted map[string]string) (*Order, error) {
		return s.PlaceSigned(ctx, order("o1"), wanted, "olga", nil, noon)
	}
	sign := func(key, room, digest, signer string) error {
		return s.Sign(ctx, Signature{Key: key, Room: room, Digest: digest, Signer: signer, On: rooms.Date{Year: 2026, Month: 11, Day: 20}, Who: "olga", At: noon})
	}
	if _, err := place(wanted); !errors.Is(err, ErrConflict) || !strings.Contains(err.Error(), "), flat/hall.") || strings.Contains(err.Error(), "flat/bath-1") {
		t.Fatalf("placed unsigned: %v", err)
	}
	if err := sign("k0", "flat/hall", "d2", " "); !errors.Is(err, ErrInvalid) {
		t.Errorf("signed by nobody: %v", err)
	}
	var group sync.WaitGroup
	for range 4 { // sent several times, it counts once
		group.Go(func() {
			if err := sign("k1", "flat/hall", "d2", "Q. Reed"); err != nil {
				t.Error(err)
			}
		})
	}
	group.Wait()
	if err := sign("k1", "flat/hall", "d3", "Q. Reed"); !errors.Is(err, ErrConflict) {
		t.Errorf("the key of another signature: %v", err)
	}
	if err := sign("k2", "flat/bath-1", "d0", "Q. Reed"); err != nil { // of an earlier layout
		t.Fatal(err)
	}
	if _, err := place(wanted); !errors.Is(err, ErrConflict) || strings.Contains(err.Error(), "hall") || strings.Count(err.Error(), "(") != 1 {
		t.Errorf("placed on another layout's signature: %v", err)
	}
	if err := sign("k3", "flat/bath-1", "d1", "Q. Reed"); err != nil {
		t.Fatal(err)
	}
	o, err := place(wanted)
	if err != nil || o.Number != 1 { // what was refused used no number up
		t.Fatalf("signed and not placed: %+v, %v", o, err)
	}
	if again, err := place(map[string]string{"flat/hall": "d9"}); err != nil || again.Number != 1 {
		t.Errorf("an order that stands was asked again: %v", err)
	}
	got, err := s.Signatures(ctx, []string{"flat/hall", "flat/bath-1"})
	if err != nil || len(got) != 3 || got[0].Key != "k3" || got[2].Signer != "Q. Reed" || !got[2].At.Equal(noon) || got[2].On.Day != 20 {
		t.Errorf("signatures %+v, %v", got, err)
	}
	if _, err := s.pool.Exec(ctx, `UPDATE signatures SET signer = 'nobody'`); err == nil {
		t.Error("a signature was overwritten")
	}
}

func TestSigningJobs(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	j := fullJob("villa")
	j.ClientSigns = true
	other := fullJob("flat")
	other.ClientSigns = false
	if _, err := s.ImportJobs(ctx, []rooms.Job{j, other}, noon); err != nil {
		t.Fatal(err)
	}
	if got, err := s.SigningJobs(ctx); err != nil || len(got) != 1 || !got["villa"] {
		t.Errorf("%v, %v", got, err)
	}
}
