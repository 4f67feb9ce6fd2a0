// Package web serves potlife's pages and its JSON API. It reads the plan in
// force as a document and reaches everything else through the small interfaces
// of ports.go.
package web

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/prometheus/client_golang/prometheus"
)

// Options are what New needs. Fields without "may be" are required.
type Options struct {
	Plans    Plans
	Sheets   Sheets
	Recorder Recorder
	History  History
	Orders   Orders
	Accounts Accounts
	Health   Health
	Print    Printer

	// Outlook may be nil: no what-if questions.
	Outlook Outlook
	// Outbox may be nil: no page of deliveries.
	Outbox Outbox
	// Prices may be nil: no page of prices.
	Prices Prices
	// Stock may be nil: no page of stock.
	Stock Stock
	// Signings may be nil: no client signs.
	Signings Signings

	// Sessions keeps sessions; may be nil for memory (they end with the
	// process).
	Sessions scs.Store
	// SessionLife is how long a sign-in lasts; 0 is 30 days.
	SessionLife time.Duration
	// SessionIdle is how long one lasts that is not used; 0 is as long as
	// SessionLife.
	SessionIdle time.Duration
	// PublicURL is where the pages are reached from outside, for QR codes,
	// links and the origin check behind a proxy: "https://tiles.example". Empty
	// takes the request's own host.
	PublicURL string
	// MetricsToken lets a collector read /metrics with "Authorization: Bearer
	// …"; empty: only a signed-in contractor may.
	MetricsToken string
	// FeedKey signs the secret addresses of calendar feeds; empty: no feeds.
	FeedKey []byte
	// Metrics may be nil for a registry of its own.
	Metrics *prometheus.Registry
	// Log may be nil for slog.Default().
	Log *slog.Logger
	// Now may be nil for the clock.
	Now func() time.Time
	// Version is shown in the API's description.
	Version string
	// NewKey makes idempotency keys and incident numbers; may be nil.
	NewKey func() string
}

func (o Options) validate() (Options, error) {
	for _, r := range []struct {
		name string
		ok   bool
	}{
		{"Plans", o.Plans != nil}, {"Sheets", o.Sheets != nil}, {"Recorder", o.Recorder != nil}, {"History", o.History != nil}, {"Orders", o.Orders != nil},
		{"Accounts", o.Accounts != nil}, {"Health", o.Health != nil}, {"Print", o.Print != nil},
	} {
		if !r.ok {
			return o, fmt.Errorf("web: option %s is missing", r.name)
		}
	}
	if o.PublicURL != "" {
		u, err := url.Parse(o.PublicURL)
		if err != nil || u.Host == "" || (u.Scheme != "http" && u.Scheme != "https") {
			return o, fmt.Errorf("web: public URL %q is not of the form https://host", o.PublicURL)
		}
		o.PublicURL = strings.TrimSuffix(o.PublicURL, "/")
	}
	if o.SessionLife < 0 || o.SessionIdle < 0 {
		return o, errors.New("web: session life is negative")
	}
	if o.SessionLife == 0 {
		o.SessionLife = 30 * 24 * time.Hour
	}
	if o.Log == nil {
		o.Log = slog.Default()
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Metrics == nil {
		o.Metrics = prometheus.NewRegistry()
	}
	if o.NewKey == nil {
		o.NewKey = randomKey
	}
	if o.Version == "" {
		o.Version = "dev"
	}
	return o, nil
}

func randomKey() string {
	var b [12]byte
	rand.Read(b[:])
	return hex.EncodeToString(b[:])
}
