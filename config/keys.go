package config

import (
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Key describes one setting.
type Key struct {
	Name   string
	Value  any // the default
	Doc    string
	Secret bool
	// Flag is the command-line flag of `potlife serve` and of other commands
	// that need the setting; empty where there is none.
	Flag string
}

// Env is the key's environment variable.
func (k Key) Env() string {
	return "POTLIFE_" + strings.ToUpper(strings.ReplaceAll(k.Name, ".", "_"))
}

// Keys lists every setting with its default, in the order they are printed.
func Keys() []Key {
	return []Key{
		{Name: "database.url", Value: "", Doc: "PostgreSQL to use; empty: a private cluster in data_dir", Secret: true, Flag: "database-url"},
		{Name: "database.max_conns", Value: 10, Doc: "most connections at once (2 to 200)"},
		{Name: "data_dir", Value: defaultDataDir(), Doc: "where the private cluster is kept", Flag: "data-dir"},
		{Name: "listen", Value: "127.0.0.1:8080", Doc: "address to serve pages and API on", Flag: "listen"},
		{Name: "public_url", Value: "", Doc: "address under which people reach potlife; empty: http:// and listen", Flag: "public-url"},
		{Name: "issue.spec", Value: "", Doc: "cron line at which the next working day is issued; empty: the firm's own", Flag: "issue-spec"},
		{Name: "issue.zone", Value: "", Doc: "time zone of issue.spec; empty: the firm's own", Flag: "issue-zone"},
		{Name: "smtp.host", Value: "", Doc: "mail server; empty: no mail is sent"},
		{Name: "smtp.port", Value: 587, Doc: "its port"},
		{Name: "smtp.user", Value: "", Doc: "user, where the server asks for one"},
		{Name: "smtp.password", Value: "", Doc: "and password", Secret: true},
		{Name: "smtp.from", Value: "", Doc: "sender of our mail"},
		{Name: "smtp.starttls", Value: "required", Doc: "required, if offered, or off"},
		{Name: "smtp.insecure", Value: false, Doc: "accept any certificate; for a test server only"},
		{Name: "smtp.timeout", Value: 20 * time.Second, Doc: "longest time for one mail (1s to 10m)"},
		{Name: "webhook.url", Value: "", Doc: "where events are posted; empty: nowhere"},
		{Name: "webhook.secret", Value: "", Doc: "key that signs them, at least 16 characters", Secret: true},
		{Name: "webhook.timeout", Value: 15 * time.Second, Doc: "longest time for one event (1s to 10m)"},
		{Name: "folder", Value: "", Doc: "folder into which issued sheets are put; empty: none", Flag: "folder"},
		{Name: "log.level", Value: "info", Doc: "debug, info, warn or error", Flag: "log-level"},
		{Name: "log.format", Value: "text", Doc: "text or json", Flag: "log-format"},
		{Name: "session.lifetime", Value: 14 * 24 * time.Hour, Doc: "how long a sign-in lasts (5m to 2160h)"},
		{Name: "session.idle", Value: 72 * time.Hour, Doc: "how long it lasts unused (5m to session.lifetime)"},
		{Name: "metrics.token", Value: "", Doc: "what a collector sends to read /metrics (Authorization: Bearer …), at least 16 characters; empty: only a signed-in contractor may", Secret: true},
		{Name: "stop_timeout", Value: 10 * time.Second, Doc: "how long running requests may finish when stopping (0s to 10m)"},
	}
}

// defaultDataDir is the user's data directory, and /var/lib for root, whose
// home the postgres user may not enter.
func defaultDataDir() string {
	if os.Geteuid() == 0 {
		return "/var/lib/potlife"
	}
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "potlife")
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return filepath.Join(os.TempDir(), "potlife")
	}
	return filepath.Join(home, ".local", "share", "potlife")
}

// DefaultFiles are the places where a configuration file is looked for, the
// first that exists being read.
func DefaultFiles() []string {
	files := []string{"potlife.conf.yaml"}
	if dir, err := os.UserConfigDir(); err == nil {
		files = append(files, filepath.Join(dir, "potlife", "config.yaml"))
	}
	return append(files, "/etc/potlife/config.yaml")
}
