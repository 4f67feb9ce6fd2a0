package deliver

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/wneessen/go-mail"
)

// MailOptions say which server takes our mail.
type MailOptions struct {
	Host           string
	Port           int
	User, Password string
	From           string
	// StartTLS is "required" (default), "if offered" or "off".
	StartTLS string
	// Insecure accepts any certificate; for a test server only.
	Insecure bool
	// Roots are the authorities trusted; nil are the machine's.
	Roots   *x509.CertPool
	Timeout time.Duration
}

// MailSender sends through one SMTP server.
type MailSender struct{ o MailOptions }

// NewMail checks the options; nothing is dialled yet.
func NewMail(o MailOptions) (*MailSender, error) {
	if o.Host == "" || o.From == "" {
		return nil, errors.New("smtp.host and smtp.from are both needed to send mail")
	}
	if _, err := tlsPolicy(o.StartTLS); err != nil {
		return nil, err
	}
	if o.Port == 0 {
		o.Port = 587
	}
	if o.Timeout == 0 {
		o.Timeout = 20 * time.Second
	}
	return &MailSender{o}, nil
}

func tlsPolicy(s string) (mail.TLSPolicy, error) {
	switch s {
	case "", "required":
		return mail.TLSMandatory, nil
	case "if offered":
		return mail.TLSOpportunistic, nil
	case "off":
		return mail.NoTLS, nil
	}
	return 0, fmt.Errorf("smtp.starttls is %q; expected \"required\", \"if offered\" or \"off\"", s)
}

// Send sends m with its files attached. The Message-ID is made of m.ID alone.
func (s *MailSender) Send(ctx context.Context, m Message) error {
	msg, err := s.compose(m)
	if err != nil {
		return &Failure{Permanent: true, Err: err}
	}
	policy, _ := tlsPolicy(s.o.StartTLS)
	opts := []mail.Option{mail.WithPort(s.o.Port), mail.WithTLSPolicy(policy), mail.WithTimeout(s.o.Timeout)}
	if s.o.User != "" {
		opts = append(opts, mail.WithSMTPAuth(mail.SMTPAuthAutoDiscover), mail.WithUsername(s.o.User), mail.WithPassword(s.o.Password))
	}
	if s.o.Insecure {
		opts = append(opts, mail.WithTLSConfig(anyCertificate(s.o.Host)))
	} else if s.o.Roots != nil {
		opts = append(opts, mail.WithTLSConfig(&tls.Config{ServerName: s.o.Host, MinVersion: tls.VersionTLS12, RootCAs: s.o.Roots}))
	}
	client, err := mail.NewClient(s.o.Host, opts...)
	if err != nil {
		return &Failure{Permanent: true, Err: err}
	}
	if err := client.DialWithContext(ctx); err != nil {
		return &Failure{Err: fmt.Errorf("mail server %s:%d: %w", s.o.Host, s.o.Port, err)}
	}
	defer client.Close()
	return classify(client.Send(msg))
}

func (s *MailSender) compose(m Message) (*mail.Msg, error) {
	msg := mail.NewMsg()
	if err := msg.From(s.o.From); err != nil {
		return nil, fmt.Errorf("smtp.from %q: %w", s.o.From, err)
	}
	if err := msg.To(m.To); err != nil {
		return nil, fmt.Errorf("address %q: %w", m.To, err)
	}
	msg.Subject(m.Subject)
	msg.SetMessageIDWithValue(messageID(m.ID, s.o.From))
	msg.SetDateWithValue(m.Created)
	msg.SetBodyString(mail.TypeTextPlain, m.Text)
	for _, f := range m.Files {
		if err := msg.AttachReader(f.Name, bytes.NewReader(f.Data), mail.WithFileContentType(mail.ContentType(f.Type))); err != nil {
			return nil, fmt.Errorf("attachment %s: %w", f.Name, err)
		}
	}
	return msg, nil
}

// messageID keeps the characters that a Message-ID may hold and adds the
// sender's domain.
func messageID(id, from string) string {
	keep := func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune(".-_", r) {
			return r
		}
		return '-'
	}
	domain := "localhost"
	if _, d, ok := strings.Cut(strings.Trim(from, "<> "), "@"); ok {
		domain = strings.Trim(d, "<> ")
	}
	return strings.Map(keep, id) + "@" + domain
}

// classify tells a refusal for good (5xx) from one for now (4xx) and both from
// a line that broke when the server may have taken the message already.
func classify(err error) error {
	if err == nil {
		return nil
	}
	var se *mail.SendError
	if errors.As(err, &se) {
		code := se.ErrorCode()
		switch {
		case code >= 500:
			return &Failure{Permanent: true, Err: err}
		case code >= 400:
			return &Failure{Err: err}
		}
		switch se.Reason {
		case mail.ErrSMTPMailFrom, mail.ErrSMTPRcptTo, mail.ErrSMTPData, mail.ErrGetSender, mail.ErrGetRcpts, mail.ErrConnCheck:
			return &Failure{Err: err} // nothing of the message was sent yet
		}
	}
	return &Failure{Unknown: true, Err: err}
}
