package deliver

import (
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/mail"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/emersion/go-smtp"
)

// postbox is an SMTP server that answers as each test asks.
type postbox struct {
	mu   sync.Mutex
	got  []string
	rcpt error
	data error
	cut  bool // break the line after the message has been read
}

type session struct {
	p    *postbox
	conn *smtp.Conn
}

func (p *postbox) NewSession(c *smtp.Conn) (smtp.Session, error) { return &session{p, c}, nil }
func (s *session) Mail(string, *smtp.MailOptions) error          { return nil }
func (s *session) Rcpt(string, *smtp.RcptOptions) error          { return s.p.rcpt }
func (s *session) Reset()                                        {}
func (s *session) Logout() error                                 { return nil }
func (s *session) Data(r io.Reader) error {
	b, err := io.ReadAll(r)
	if err != nil {
		return err
	}
	s.p.mu.Lock()
	s.p.got = append(s.p.got, string(b))
	s.p.mu.Unlock()
	if s.p.cut {
		s.conn.Conn().Close()
	}
	return s.p.data
}

func startPostbox(t *testing.T, p *postbox) *MailSender {
	t.Helper()
	srv := smtp.NewServer(p)
	srv.AllowInsecureAuth = true
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go func() { _ = srv.Serve(l) }()
	t.Cleanup(func() { srv.Close() })
	s, err := NewMail(MailOptions{Host: "127.0.0.1", Port: l.Addr().(*net.TCPAddr).Port, From: "office@fliesen.example",
		StartTLS: "off", Timeout: 3 * time.Second})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func sheetMail() Message {
	return Message{ID: "sheet/crew-a/2026-12-01/1", Channel: Mail, To: "crew-a@fliesen.example", Subject: "Day sheet 1 December · Łódź",
		Text: "Crew A, 4.5 m²", Created: time.Unix(1_790_000_000, 0), Files: []File{{"sheet.pdf", "application/pdf", []byte("%PDF-1.7")}}}
}

func TestMailArrivesWithItsOwnID(t *testing.T) {
	p := &postbox{}
	s := startPostbox(t, p)
	for range 2 {
		if err := s.Send(context.Background(), sheetMail()); err != nil {
			t.Fatal(err)
		}
	}
	if len(p.got) != 2 {
		t.Fatalf("%d mails arrived", len(p.got))
	}
	for _, raw := range p.got {
		m, err := mail.ReadMessage(strings.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		if id := m.Header.Get("Message-Id"); id != "<sheet-crew-a-2026-12-01-1@fliesen.example>" {
			t.Errorf("Message-ID is %s", id)
		}
		if !strings.Contains(raw, "sheet.pdf") {
			t.Error("the sheet is not attached")
		}
	}
}

func TestMailFailures(t *testing.T) {
	tests := []struct {
		name               string
		p                  *postbox
		permanent, unknown bool
	}{
		{"no such box", &postbox{rcpt: &smtp.SMTPError{Code: 550, Message: "no such box"}}, true, false},
		{"greylisted", &postbox{rcpt: &smtp.SMTPError{Code: 451, Message: "later"}}, false, false},
		{"refused after data", &postbox{data: &smtp.SMTPError{Code: 554, Message: "no"}}, true, false},
		{"full", &postbox{data: &smtp.SMTPError{Code: 452, Message: "full"}}, false, false},
		{"line cut after data", &postbox{cut: true}, false, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			err := startPostbox(t, tt.p).Send(context.Background(), sheetMail())
			var f *Failure
			if !errors.As(err, &f) {
				t.Fatalf("got %v, expected a failure", err)
			}
			if f.Permanent != tt.permanent || f.Unknown != tt.unknown {
				t.Errorf("permanent %v unknown %v: %v", f.Permanent, f.Unknown, err)
			}
		})
	}
}

func TestNobodyListens(t *testing.T) {
	s, err := NewMail(MailOptions{Host: "127.0.0.1", Port: 1, From: "a@b.example", StartTLS: "off", Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Send(context.Background(), sheetMail()); err == nil || IsPermanent(err) {
		t.Fatalf("got %v, expected a failure that may pass", err)
	}
}

func TestStartTLSRequired(t *testing.T) {
	s := startPostbox(t, &postbox{})
	s.o.StartTLS = "required"
	if err := s.Send(context.Background(), sheetMail()); err == nil {
		t.Fatal("a server without STARTTLS was trusted")
	}
}

func TestWebhook(t *testing.T) {
	body := []byte(`{"sheet":1}`)
	status, seen := 204, http.Header{}
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		seen = r.Header.Clone()
		got, _ := io.ReadAll(r.Body)
		if want := Sign("s3cret", r.Header.Get("Potlife-Time"), got); r.Header.Get("Potlife-Signature") != want {
			t.Errorf("signature does not fit")
		}
		w.WriteHeader(status)
	}))
	defer srv.Close()
	s, err := NewWebhook(WebhookOptions{URL: srv.URL, Secret: "s3cret"})
	if err != nil {
		t.Fatal(err)
	}
	m := Message{ID: "k-1", Event: "sheet issued", Body: body, Created: time.Unix(1_790_000_000, 0)}
	for _, tt := range []struct {
		status                     int
		ok, permanent, unknownness bool
	}{{204, true, false, false}, {404, false, true, false}, {429, false, false, false}, {503, false, false, true}, {302, false, true, false}} {
		status = tt.status
		err := s.Send(context.Background(), m)
		var f *Failure
		if errors.As(err, &f); (err == nil) != tt.ok || f != nil && (f.Permanent != tt.permanent || f.Unknown != tt.unknownness) {
			t.Errorf("%d: %v", tt.status, err)
		}
	}
	if seen.Get("Idempotency-Key") != "k-1" {
		t.Errorf("Idempotency-Key is %q", seen.Get("Idempotency-Key"))
	}
}

func TestWebhookHangs(t *testing.T) {
	release := make(chan struct{})
	srv := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { <-release }))
	defer srv.Close()
	defer close(release)
	s, err := NewWebhook(WebhookOptions{URL: srv.URL, Timeout: 50 * time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	var f *Failure
	if err := s.Send(context.Background(), Message{ID: "k"}); !errors.As(err, &f) || !f.Unknown {
		t.Fatalf("got %v, expected an unknown outcome", err)
	}
}

func TestFolder(t *testing.T) {
	dir := t.TempDir()
	s, err := NewFolder(filepath.Join(dir, "sheets"))
	if err != nil {
		t.Fatal(err)
	}
	m := Message{Files: []File{{Name: "2026-12-01 crew-a r1.pdf", Data: []byte("one")}}}
	for range 2 {
		if err := s.Send(context.Background(), m); err != nil {
			t.Fatal(err)
		}
	}
	entries, err := os.ReadDir(filepath.Join(dir, "sheets"))
	if err != nil || len(entries) != 1 || entries[0].Name() != m.Files[0].Name {
		t.Fatalf("folder holds %v, %v", entries, err)
	}
	for _, bad := range []string{"../x", "a/b", "", ".hidden"} {
		if err := s.Send(context.Background(), Message{Files: []File{{Name: bad}}}); !IsPermanent(err) {
			t.Errorf("%q: %v", bad, err)
		}
	}
}
