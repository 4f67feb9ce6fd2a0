package app

import (
	"context"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/mail"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/emersion/go-smtp"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/cmd/potlife/internal/sheet"
	"potlife/cmd/potlife/internal/store"
	"potlife/integration/pgtest"
)

// fragile takes messages by webhook and by mail. It breaks the line once on each
// way, after the message has come in and before it is known to have.
type fragile struct {
	mu  sync.Mutex
	ids []string
}

// took keeps an id and says whether it is the first of its way.
func (f *fragile) took(way, id string) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.ids = append(f.ids, way+" "+id)
	n := 0
	for _, s := range f.ids {
		if strings.HasPrefix(s, way) {
			n++
		}
	}
	return n == 1
}

func (f *fragile) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if !f.took("webhook", r.Header.Get("Idempotency-Key")) {
		return
	}
	w.Header().Set("Content-Length", "20")
	_, _ = io.WriteString(w, "half of")
	_ = http.NewResponseController(w).Flush()
	panic(http.ErrAbortHandler)
}

func (f *fragile) NewSession(c *smtp.Conn) (smtp.Session, error) { return &fragileMail{f, c}, nil }

type fragileMail struct {
	f *fragile
	c *smtp.Conn
}

func (m *fragileMail) Mail(string, *smtp.MailOptions) error { return nil }
func (m *fragileMail) Rcpt(string, *smtp.RcptOptions) error { return nil }
func (m *fragileMail) Reset()                               {}
func (m *fragileMail) Logout() error                        { return nil }
func (m *fragileMail) Data(r io.Reader) error {
	got, err := mail.ReadMessage(r)
	if err != nil {
		return err
	}
	if _, err := io.Copy(io.Discard, got.Body); err != nil {
		return err
	}
	if m.f.took("mail", got.Header.Get("Message-Id")) {
		m.c.Conn().Close()
	}
	return nil
}

// A line cut when the receiver may have the message: nothing is given up, the
// message stays due after its pause, and the repeat comes once, under the same
// id, whatever process sends it.
func TestACutLineIsRepeatedUnderTheSameID(t *testing.T) {
	ctx := context.Background()
	s, err := store.Open(ctx, pgtest.URL(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	f := &fragile{}
	web := httptest.NewServer(f)
	t.Cleanup(web.Close)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	post := smtp.NewServer(f)
	go func() { _ = post.Serve(l) }()
	t.Cleanup(func() { post.Close() })
	now := time.Date(2027, 1, 18, 16, 0, 0, 0, time.UTC)
	restarted := func() *App {
		hook, err := deliver.NewWebhook(deliver.WebhookOptions{URL: web.URL})
		if err != nil {
			t.Fatal(err)
		}
		letter, err := deliver.NewMail(deliver.MailOptions{Host: "127.0.0.1", Port: l.Addr().(*net.TCPAddr).Port, From: "office@tiles.example", StartTLS: "off"})
		if err != nil {
			t.Fatal(err)
		}
		a, err := New(Options{Store: s, Print: sheet.Printer{}, Post: deliver.Post{deliver.Webhook: hook, deliver.Mail: letter}, Now: func() time.Time { return now }})
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	var out []store.Message
	for _, m := range []deliver.Message{{ID: "sheet.a.1.webhook", Channel: deliver.Webhook, Body: []byte(`{}`), Created: now},
		{ID: "sheet.a.1.mail", Channel: deliver.Mail, To: "a@tiles.example", Subject: "Sheet", Text: "Set", Created: now}} {
		body, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, store.Message{Key: m.ID, Channel: m.Channel, To: m.To, Body: body})
	}
	if err := s.Enqueue(ctx, out, now); err != nil {
		t.Fatal(err)
	}
	for _, step := range []struct {
		later time.Duration
		sent  int
	}{{0, 0}, {59 * time.Second, 0}, {time.Second, 2}, {24 * time.Hour, 0}} {
		now = now.Add(step.later)
		if n, err := restarted().DeliverDue(ctx); err != nil || n != step.sent {
			t.Fatalf("%s: %d sent, want %d (%v)", now.Format("15:04:05"), n, step.sent, err)
		}
		open, err := s.Messages(ctx, true, 9)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range open {
			if m.FailedAt != nil || !strings.Contains(m.LastError, "not confirmed") {
				t.Errorf("%s: %s stands at %q", now.Format("15:04:05"), m.Key, m.LastError)
			}
		}
	}
	seen := map[string]int{}
	for _, id := range f.ids {
		seen[id]++
	}
	if len(seen) != 2 || seen["webhook sheet.a.1.webhook"] != 2 || seen["mail <sheet.a.1.mail@tiles.example>"] != 2 {
		t.Errorf("the receiver saw %v", f.ids)
	}
}
