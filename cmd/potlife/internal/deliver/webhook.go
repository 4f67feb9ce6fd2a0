package deliver

import (
	"bytes"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"net/http"
	"net/http/httptrace"
	"net/url"
	"strconv"
	"sync/atomic"
	"time"
)

// WebhookOptions say where events go and with which secret they are signed.
type WebhookOptions struct {
	URL, Secret string
	Timeout     time.Duration
	Client      *http.Client // nil: one of its own
}

// WebhookSender posts each event as JSON.
type WebhookSender struct {
	o      WebhookOptions
	client *http.Client
}

// NewWebhook checks the address.
func NewWebhook(o WebhookOptions) (*WebhookSender, error) {
	u, err := url.Parse(o.URL)
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return nil, fmt.Errorf("webhook.url %q is no http or https address", o.URL)
	}
	if o.Timeout == 0 {
		o.Timeout = 15 * time.Second
	}
	client := o.Client
	if client == nil {
		client = &http.Client{
			Timeout: o.Timeout,
			// A redirect could carry the signed body to another host.
			CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		}
	}
	return &WebhookSender{o, client}, nil
}

// Send posts m.Body. The receiver checks Potlife-Signature, the hex HMAC
// SHA-256 under the shared secret of "<Potlife-Time>.<body>", and recognises a
// repeat by its Idempotency-Key.
func (s *WebhookSender) Send(ctx context.Context, m Message) error {
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, s.o.URL, bytes.NewReader(m.Body))
	if err != nil {
		return &Failure{Permanent: true, Err: err}
	}
	at := strconv.FormatInt(m.Created.Unix(), 10)
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Idempotency-Key", m.ID)
	req.Header.Set("Potlife-Event", m.Event)
	req.Header.Set("Potlife-Time", at)
	if s.o.Secret != "" {
		req.Header.Set("Potlife-Signature", Sign(s.o.Secret, at, m.Body))
	}
	// Before there is a line nothing can have arrived; from then on only the
	// receiver knows.
	var line atomic.Bool
	req = req.WithContext(httptrace.WithClientTrace(ctx, &httptrace.ClientTrace{GotConn: func(httptrace.GotConnInfo) { line.Store(true) }}))
	res, err := s.client.Do(req)
	if err != nil {
		return &Failure{Unknown: line.Load(), Err: err}
	}
	defer res.Body.Close()
	_, broken := io.Copy(io.Discard, io.LimitReader(res.Body, longestAnswer))
	if err := statusFailure(res.StatusCode); err != nil {
		return err
	}
	if broken != nil {
		// The receiver began to say yes and did not end: it may have died on the way.
		return &Failure{Unknown: true, Err: fmt.Errorf("webhook answered %d and broke off: %w", res.StatusCode, broken)}
	}
	return nil
}

// longestAnswer is how many bytes of an answer are read, so that the line can be
// used again; what it says beyond its status is of no interest.
const longestAnswer = 64 << 10

// statusFailure maps an answer: 2xx is delivered; a redirect or a refusal of
// the message itself is final; being busy or broken is not.
func statusFailure(code int) error {
	switch {
	case code >= 200 && code < 300:
		return nil
	case code == http.StatusRequestTimeout, code == http.StatusTooEarly, code == http.StatusTooManyRequests:
		return &Failure{Err: fmt.Errorf("webhook answered %d", code)}
	case code >= 500:
		return &Failure{Unknown: true, Err: fmt.Errorf("webhook answered %d", code)}
	}
	return &Failure{Permanent: true, Err: fmt.Errorf("webhook answered %d", code)}
}

// Sign returns the signature of a body sent at a Unix time.
func Sign(secret, at string, body []byte) string {
	mac := hmac.New(sha256.New, []byte(secret))
	mac.Write([]byte(at + "."))
	mac.Write(body)
	return hex.EncodeToString(mac.Sum(nil))
}
