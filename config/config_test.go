package config

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/spf13/pflag"
)

// clean keeps the machine's own variables and files out of a test.
func clean(t *testing.T) {
	t.Helper()
	for _, pair := range os.Environ() {
		if name, _, _ := strings.Cut(pair, "="); strings.HasPrefix(name, "POTLIFE_") {
			t.Setenv(name, "")
			os.Unsetenv(name)
		}
	}
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	t.Chdir(t.TempDir())
}

func write(t *testing.T, text string) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "config.yaml")
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// Each source outweighs the one before: default, file, environment, flag.
func TestOrderOfWeight(t *testing.T) {
	clean(t)
	flags := pflag.NewFlagSet("test", pflag.ContinueOnError)
	AddFlags(flags)
	load := func(file string) *Config {
		t.Helper()
		c, err := Load(Options{File: file, Flags: flags})
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	steps := []struct {
		do           func() string
		listen, from string
	}{
		{func() string { return write(t, "") }, "127.0.0.1:8080", "default"},
		{func() string { return write(t, "listen: 127.0.0.1:1\nsmtp: {port: 25}") }, "127.0.0.1:1", "config.yaml"},
		{func() string {
			t.Setenv("POTLIFE_LISTEN", "127.0.0.1:2")
			return write(t, "listen: 127.0.0.1:1")
		}, "127.0.0.1:2", "POTLIFE_LISTEN"},
		{func() string {
			if err := flags.Parse([]string{"--listen", "127.0.0.1:3"}); err != nil {
				t.Fatal(err)
			}
			return write(t, "listen: 127.0.0.1:1")
		}, "127.0.0.1:3", "--listen"},
	}
	for _, s := range steps {
		c := load(s.do())
		if c.Chosen("listen") != (s.from != "default") {
			t.Errorf("listen from %s: chosen %v", s.from, c.Chosen("listen"))
		}
		if c.Listen != s.listen || !strings.HasSuffix(c.origin["listen"], s.from) {
			t.Errorf("listen = %s from %s, want %s from %s", c.Listen, c.origin["listen"], s.listen, s.from)
		}
	}
}

// A variable reaches keys that stand in no file.
func TestEnvironmentAlone(t *testing.T) {
	clean(t)
	t.Setenv("POTLIFE_DATABASE_URL", "postgres://u:p@db:5432/x")
	t.Setenv("POTLIFE_SMTP_TIMEOUT", "45s")
	t.Setenv("POTLIFE_SESSION_LIFETIME", "24h")
	c, err := Load(Options{})
	if err != nil {
		t.Fatal(err)
	}
	if c.Database.URL != "postgres://u:p@db:5432/x" || c.SMTP.Timeout != 45*time.Second || c.Session.Lifetime != 24*time.Hour || c.Session.Idle != 24*time.Hour {
		t.Errorf("%+v", c)
	}
}

func TestWrongFiles(t *testing.T) {
	clean(t)
	for _, c := range []struct{ text, want string }{
		{"lissten: 127.0.0.1:1", `config.yaml:1:1: unknown key "lissten"; expected "listen"`},
		{"smtp:\n  port: 25\n  hosst: x", `config.yaml:3:3: unknown key "smtp.hosst"; expected "smtp.host"`},
		{"colour: red", `config.yaml:1:1: unknown key "colour"; expected one of database.url`},
		{"listen: [1", "config.yaml:1:9: no valid YAML"},
		{"just text", "config.yaml:1:1: the file is no mapping"},
		{"listen: here", `listen (from `},
		{"smtp: {host: mail.example}", `smtp.from: "" is no address`},
		{"smtp: {port: 70000}", "70000 does not fit; expected 1 to 65535"},
		{"smtp: {port: many}", "smtp.port (from "},
		{"smtp: {starttls: maybe}", `"maybe" is not known; expected required, if offered, off`},
		{"webhook: {url: 'https://hook.example', secret: short}", "5 characters; expected at least 16"},
		{"database: {url: 'mysql://x'}", "database.url"},
		{"database: {max_conns: 1}", "1 does not fit; expected 2 to 200"},
		{"issue: {zone: Mars/Base}", `"Mars/Base" is no time zone`},
		{"issue: {spec: 17 o'clock}", "has 2 fields; expected five"},
		{"log: {level: loud}", `"loud" is not known`},
		{"session: {lifetime: 1m}", "1m0s does not fit; expected 5m0s to 2160h0m0s"},
		{"stop_timeout: 1h", "1h0m0s does not fit"},
	} {
		_, err := Load(Options{File: write(t, c.text)})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: got %v, want %q", c.text, err, c.want)
		}
	}
	if _, err := Load(Options{File: "nowhere.yaml"}); err == nil || !strings.Contains(err.Error(), "nowhere.yaml") {
		t.Errorf("missing file: %v", err)
	}
	t.Setenv("POTLIFE_LISTENN", "x")
	if _, err := Load(Options{}); err == nil || !strings.Contains(err.Error(), "POTLIFE_LISTENN; expected POTLIFE_LISTEN") {
		t.Errorf("misspelt variable: %v", err)
	}
}

// What is printed hides every secret and names the source of each value.
func TestPrintHidesSecrets(t *testing.T) {
	clean(t)
	t.Setenv("POTLIFE_DATABASE_URL", "postgres://office:hunter2@db:5432/x?sslpassword=hunter3")
	file := write(t, "smtp: {host: mail.example, from: a@b.example, password: hunter4}\nwebhook: {url: 'https://hook.example', secret: hunter5-and-more-of-it}")
	c, err := Load(Options{File: file})
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := c.Print(&b); err != nil {
		t.Fatal(err)
	}
	out := b.String()
	if strings.Contains(out, "hunter") {
		t.Errorf("a secret is printed:\n%s", out)
	}
	for _, want := range []string{"postgres://office:hidden@db:5432/x", "# POTLIFE_DATABASE_URL", "smtp.host: mail.example  # " + file, "log.level: info  # default", "webhook.secret: (hidden)"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is missing in:\n%s", want, out)
		}
	}
	if n := strings.Count(out, "\n"); n != len(Keys()) {
		t.Errorf("%d lines for %d keys", n, len(Keys()))
	}
}

func TestPublicURL(t *testing.T) {
	for _, c := range []struct{ listen, public, want string }{
		{"127.0.0.1:8080", "", "http://127.0.0.1:8080"},
		{":8080", "", "http://127.0.0.1:8080"},
		{"0.0.0.0:80", "", "http://127.0.0.1:80"},
		{"[::]:80", "", "http://127.0.0.1:80"},
		{":8080", "https://tiles.example/", "https://tiles.example"},
	} {
		if got := (&Config{Listen: c.listen, Public: c.public}).PublicURL(); got != c.want {
			t.Errorf("%+v: got %s", c, got)
		}
	}
}

// Whatever stands in a file, it is refused or read; nothing panics.
func FuzzLoad(f *testing.F) {
	f.Add("listen: 127.0.0.1:1\nsmtp: {port: 25}")
	f.Add("a: &a [*a]\n<<: *a")
	f.Fuzz(func(t *testing.T, text string) {
		name := filepath.Join(t.TempDir(), "c.yaml")
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		c, err := Load(Options{File: name})
		if (err == nil) != (c != nil && c.Validate() == nil) {
			t.Errorf("config %v with error %v", c, err)
		}
	})
}
