package deliver

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"errors"
	"math/big"
	"net"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-sasl"
	"github.com/emersion/go-smtp"
)

// authority signs a certificate for 127.0.0.1 and returns the pool that trusts it.
func authority(t *testing.T) (tls.Certificate, *x509.CertPool) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	is := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "post.tiles.example"}, IsCA: true, BasicConstraintsValid: true,
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour), IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
		KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}}
	der, err := x509.CreateCertificate(rand.Reader, is, is, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	leaf, err := x509.ParseCertificate(der)
	if err != nil {
		t.Fatal(err)
	}
	pool := x509.NewCertPool()
	pool.AddCert(leaf)
	return tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key}, pool
}

// guarded is a postbox that takes mail over TLS from those who sign in.
type guarded struct {
	postbox
	user, password string
}

type guardedSession struct {
	*session
	g      *guarded
	secure bool
	known  bool
}

func (g *guarded) NewSession(c *smtp.Conn) (smtp.Session, error) {
	_, secure := c.TLSConnectionState()
	return &guardedSession{session: &session{&g.postbox, c}, g: g, secure: secure}, nil
}

func (s *guardedSession) AuthMechanisms() []string { return []string{sasl.Plain} }

func (s *guardedSession) Auth(string) (sasl.Server, error) {
	return sasl.NewPlainServer(func(_, user, password string) error {
		if user != s.g.user || password != s.g.password {
			return &smtp.SMTPError{Code: 535, EnhancedCode: smtp.EnhancedCode{5, 7, 8}, Message: "wrong name or password"}
		}
		s.known = true
		return nil
	}), nil
}

func (s *guardedSession) Mail(string, *smtp.MailOptions) error {
	if !s.secure || !s.known {
		return &smtp.SMTPError{Code: 530, Message: "sign in first, over TLS"}
	}
	return nil
}

func TestMailOverTLSWithSignIn(t *testing.T) {
	certificate, roots := authority(t)
	g := &guarded{user: "office", password: "trowel 12"}
	srv := smtp.NewServer(g)
	srv.TLSConfig = &tls.Config{Certificates: []tls.Certificate{certificate}, MinVersion: tls.VersionTLS12}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go func() { _ = srv.Serve(l) }()
	t.Cleanup(func() { srv.Close() })
	right := MailOptions{Host: "127.0.0.1", Port: l.Addr().(*net.TCPAddr).Port, From: "office@fliesen.example",
		User: "office", Password: "trowel 12", Roots: roots, Timeout: 3 * time.Second}
	send := func(o MailOptions) error {
		t.Helper()
		s, err := NewMail(o)
		if err != nil {
			t.Fatal(err)
		}
		return s.Send(context.Background(), sheetMail())
	}
	if err := send(right); err != nil {
		t.Fatalf("the right name, password and authority: %v", err)
	}
	if len(g.got) != 1 || !strings.Contains(g.got[0], "sheet.pdf") {
		t.Fatalf("%d mails arrived", len(g.got))
	}
	wrong, unknown, nobody := right, right, right
	wrong.Password = "trowel 13"
	unknown.Roots = nil
	nobody.User, nobody.Password = "", ""
	for name, o := range map[string]MailOptions{"wrong password": wrong, "unknown authority": unknown, "not signed in": nobody} {
		err := send(o)
		var f *Failure
		if !errors.As(err, &f) || f.Unknown {
			t.Errorf("%s: %v; expected a refusal that is known for one", name, err)
		}
		if strings.Contains(err.Error(), "trowel") {
			t.Errorf("%s: the message shows the password: %v", name, err)
		}
	}
	if len(g.got) != 1 {
		t.Errorf("%d mails arrived, one was allowed to", len(g.got))
	}
}

// bare is a server that takes the line and does as it is told at one command.
func bare(t *testing.T, at, say string, hang bool) int {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan struct{})
	t.Cleanup(func() { close(done); l.Close() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go talk(c, at, say, hang, done)
		}
	}()
	return l.Addr().(*net.TCPAddr).Port
}

func talk(c net.Conn, at, say string, hang bool, done chan struct{}) {
	defer c.Close()
	fault := func(step string) bool {
		if step != at {
			return false
		}
		if hang {
			<-done
		} else if say != "" {
			_, _ = c.Write([]byte(say + "\r\n"))
		}
		return hang || say == ""
	}
	answers := map[string]string{"EHLO": "250 here", "HELO": "250 here", "MAIL": "250 go on", "RCPT": "250 go on", "DATA": "354 begin", ".": "250 taken",
		"RSET": "250 yes", "NOOP": "250 yes", "QUIT": "221 bye"}
	if fault("greeting") {
		return
	}
	if at != "greeting" {
		_, _ = c.Write([]byte("220 tiles.example\r\n"))
	}
	lines := make([]byte, 0, 4096)
	inData := false
	for buf := make([]byte, 4096); ; {
		n, err := c.Read(buf)
		if err != nil {
			return
		}
		lines = append(lines, buf[:n]...)
		for {
			line, rest, ok := strings.Cut(string(lines), "\r\n")
			if !ok {
				break
			}
			lines = []byte(rest)
			word, _, _ := strings.Cut(strings.ToUpper(line), " ")
			if inData && line != "." {
				continue
			}
			inData = false
			if word == "HELO" && at == "EHLO" {
				word = at // what is refused to the one is refused to the other
			}
			if fault(word) {
				return
			}
			if word != at {
				inData = word == "DATA"
				_, _ = c.Write([]byte(answers[word] + "\r\n"))
			}
		}
	}
}

// Every step of the conversation fails in every way: a refusal for now may be
// tried again, one for good may not, and only what breaks off after the whole
// message has been sent has an outcome that nobody knows.
func TestEveryStepOfAMailFails(t *testing.T) {
	for _, step := range []string{"greeting", "EHLO", "MAIL", "RCPT", "DATA", "."} {
		for _, way := range []struct {
			name, say string
			hang      bool
		}{{"refused for now", "451 later", false}, {"refused for good", "554 never", false}, {"hangs", "", true}, {"cuts the line", "", false}} {
			t.Run(step+" "+way.name, func(t *testing.T) {
				t.Parallel()
				s, err := NewMail(MailOptions{Host: "127.0.0.1", Port: bare(t, step, way.say, way.hang), From: "office@fliesen.example", StartTLS: "off", Timeout: 300 * time.Millisecond})
				if err != nil {
					t.Fatal(err)
				}
				ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
				defer cancel()
				var f *Failure
				if err := s.Send(ctx, sheetMail()); !errors.As(err, &f) {
					t.Fatalf("got %v, expected a failure", err)
				}
				atEnd, broken := step == ".", way.say == ""
				if f.Unknown && !(atEnd && broken) {
					t.Errorf("the outcome counts as unknown: %v", f)
				}
				if atEnd && broken && !f.Unknown {
					t.Errorf("the outcome counts as known: %v", f)
				}
				if f.Permanent && way.name != "refused for good" {
					t.Errorf("it counts as refused for good: %v", f)
				}
				if way.name == "refused for good" && (step == "RCPT" || step == "MAIL" || step == ".") && !f.Permanent {
					t.Errorf("a refusal for good is tried again: %v", f)
				}
			})
		}
	}
}
