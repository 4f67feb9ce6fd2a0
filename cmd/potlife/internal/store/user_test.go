package store

import (
	"bytes"
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

func TestSignInLinkWorksOnce(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	u, err := s.AddUser(ctx, User{Name: "Ann", Email: "ann@example.org", Role: CrewRole, Crew: "north"}, noon)
	if err != nil {
		t.Fatal(err)
	}
	link := func() string {
		t.Helper()
		secret, err := s.NewSignInLink(ctx, u.ID, time.Hour, noon)
		if err != nil {
			t.Fatal(err)
		}
		return secret
	}
	secret := link()
	var won atomic.Int32
	var wg sync.WaitGroup
	for range 20 {
		wg.Go(func() {
			got, err := s.RedeemSignInLink(ctx, secret, noon.Add(time.Minute))
			if err == nil && got.ID == u.ID && got.Crew == "north" {
				won.Add(1)
			} else if !errors.Is(err, ErrNotFound) {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if won.Load() != 1 {
		t.Errorf("one link signed in %d times", won.Load())
	}
	if _, err := s.RedeemSignInLink(ctx, link(), noon.Add(time.Hour)); !errors.Is(err, ErrNotFound) {
		t.Errorf("an expired link: %v", err)
	}
	if _, err := s.RedeemSignInLink(ctx, "guess", noon); !errors.Is(err, ErrNotFound) {
		t.Errorf("an unknown link: %v", err)
	}
	last := link()
	if err := s.DisableUser(ctx, u.ID, noon); err != nil {
		t.Fatal(err)
	}
	if _, err := s.RedeemSignInLink(ctx, last, noon); !errors.Is(err, ErrNotFound) {
		t.Errorf("a disabled user's link: %v", err)
	}
	var stored []byte
	if err := s.pool.QueryRow(ctx, `SELECT string_agg(hash, '') FROM sign_in_links`).Scan(&stored); err != nil || bytes.Contains(stored, []byte(secret)) {
		t.Errorf("the secret itself is stored, %v", err)
	}
}

func TestUsers(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	u, err := s.AddUser(ctx, User{Name: "Otto", Email: "otto@example.org", Role: Office}, noon)
	if err != nil {
		t.Fatal(err)
	}
	again, err := s.AddUser(ctx, User{Name: "OTTO", Email: "o@example.org", Role: Contractor}, noon)
	if err != nil || again.ID != u.ID || again.Role != Contractor {
		t.Errorf("added again: %+v, %v", again, err)
	}
	if again, err = s.AddUser(ctx, User{Name: "Otto", Role: Contractor}, noon); err != nil || again.Email != "o@example.org" {
		t.Errorf("added without an address: %+v, %v; the address stays", again, err)
	}
	for _, name := range []string{"otto", "O@EXAMPLE.ORG"} {
		if got, err := s.UserByName(ctx, name); err != nil || got.ID != u.ID {
			t.Errorf("UserByName(%s): %+v, %v", name, got, err)
		}
	}
	if err := s.SetPassword(ctx, u.ID, "$argon2id$…"); err != nil {
		t.Fatal(err)
	}
	if err := s.SignOutEverywhere(ctx, u.ID); err != nil {
		t.Fatal(err)
	}
	if got, _ := s.User(ctx, u.ID); got.Epoch != 2 || got.PasswordHash == "" || got.Disabled {
		t.Errorf("user %+v", got)
	}
	bad := map[string]struct {
		user User
		kind error
	}{
		"a crew user without a crew": {User{Name: "x", Role: CrewRole}, ErrInvalid},
		"a role that does not exist": {User{Name: "x", Role: "king"}, ErrInvalid},
		"another's e-mail address":   {User{Name: "x", Role: Office, Email: "O@example.org"}, ErrConflict},
		"an unknown crew":            {User{Name: "x", Role: CrewRole, Crew: "west"}, ErrConflict},
		"no name":                    {User{Role: Office}, ErrInvalid},
	}
	for name, test := range bad {
		if _, err := s.AddUser(ctx, test.user, noon); !errors.Is(err, test.kind) {
			t.Errorf("%s: %v; want %v", name, err, test.kind)
		}
	}
	if l, err := s.Users(ctx); err != nil || len(l) != 1 {
		t.Errorf("%d users, %v", len(l), err)
	}
	if err := s.EnableUser(ctx, 99); !errors.Is(err, ErrNotFound) {
		t.Errorf("user 99: %v", err)
	}
}

func TestSessions(t *testing.T) {
	s := open(t)
	sessions := s.Sessions()
	soon := time.Now().Add(time.Hour)
	if err := sessions.Commit("t1", []byte("one"), soon); err != nil {
		t.Fatal(err)
	}
	if err := sessions.Commit("t1", []byte("two"), soon); err != nil {
		t.Fatal(err)
	}
	if err := sessions.Commit("old", []byte("x"), time.Now().Add(-time.Second)); err != nil {
		t.Fatal(err)
	}
	if got, there, err := sessions.Find("t1"); err != nil || !there || string(got) != "two" {
		t.Errorf("Find: %q, %v, %v", got, there, err)
	}
	if _, there, err := sessions.Find("old"); err != nil || there {
		t.Errorf("a session that has run out: %v, %v", there, err)
	}
	if err := s.Tidy(context.Background(), time.Now()); err != nil {
		t.Fatal(err)
	}
	if err := sessions.Delete("t1"); err != nil {
		t.Fatal(err)
	}
	var n int
	if err := s.pool.QueryRow(context.Background(), `SELECT count(*) FROM sessions`).Scan(&n); err != nil || n != 0 {
		t.Errorf("%d sessions left, %v", n, err)
	}
}

func TestSettings(t *testing.T) {
	ctx := context.Background()
	s := open(t)
	if _, there, err := s.Setting(ctx, "secret"); err != nil || there {
		t.Errorf("a setting never set: %v, %v", there, err)
	}
	for _, v := range []string{"a", "b"} {
		if got, err := s.SettingOnce(ctx, "secret", v, noon); err != nil || got != "a" {
			t.Errorf("SettingOnce(%s) = %q, %v; the first counts", v, got, err)
		}
	}
	if err := s.SetSetting(ctx, "secret", "c", noon); err != nil {
		t.Fatal(err)
	}
	if got, there, err := s.Setting(ctx, "secret"); err != nil || !there || got != "c" {
		t.Errorf("Setting = %q, %v, %v", got, there, err)
	}
}
