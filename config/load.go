package config

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"github.com/go-viper/mapstructure/v2"
	"github.com/spf13/pflag"
	"github.com/spf13/viper"
)

// Options say where settings come from.
type Options struct {
	// File is the file asked for; empty looks at POTLIFE_CONFIG and then at
	// DefaultFiles.
	File string
	// Flags may be nil. A flag that was given outweighs everything.
	Flags *pflag.FlagSet
}

// AddFlags defines the flags that settings have, without defaults of their own.
func AddFlags(flags *pflag.FlagSet) {
	for _, k := range Keys() {
		if k.Flag != "" {
			flags.String(k.Flag, "", k.Doc)
		}
	}
}

// Load returns the effective configuration, checked. The error lists every
// wrong key with its place and what was expected.
func Load(o Options) (*Config, error) {
	v := viper.NewWithOptions(viper.ExperimentalBindStruct())
	for _, k := range Keys() {
		v.SetDefault(k.Name, k.Value)
	}
	v.SetEnvPrefix("POTLIFE")
	v.SetEnvKeyReplacer(strings.NewReplacer(".", "_"))
	v.AutomaticEnv()
	v.SetConfigType("yaml")
	file, text, err := readFile(o.File)
	if err != nil {
		return nil, err
	}
	if err := checkFile(file, text); err != nil {
		return nil, err
	}
	if err := v.ReadConfig(bytes.NewReader(text)); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	if err := checkEnv(os.Environ()); err != nil {
		return nil, err
	}
	for _, k := range Keys() {
		if f := lookup(o.Flags, k.Flag); f != nil {
			if err := v.BindPFlag(k.Name, f); err != nil {
				return nil, err
			}
		}
	}
	c := &Config{origin: origins(v, o.Flags, file)}
	if err := v.UnmarshalExact(c, viper.DecodeHook(mapstructure.ComposeDecodeHookFunc(mapstructure.StringToTimeDurationHookFunc()))); err != nil {
		return nil, c.unreadable(err)
	}
	if c.origin["session.idle"] == "default" {
		c.Session.Idle = min(c.Session.Idle, c.Session.Lifetime)
	}
	if err := c.Validate(); err != nil {
		return nil, err
	}
	return c, nil
}

func lookup(flags *pflag.FlagSet, name string) *pflag.Flag {
	if flags == nil || name == "" {
		return nil
	}
	return flags.Lookup(name)
}

// readFile reads the file asked for, which must be there, or the first usual
// one that is.
func readFile(asked string) (name string, text []byte, err error) {
	if asked == "" {
		asked = os.Getenv("POTLIFE_CONFIG")
	}
	if asked != "" {
		text, err = os.ReadFile(asked)
		if err != nil {
			return "", nil, fmt.Errorf("configuration file: %w", err)
		}
		return asked, text, nil
	}
	for _, name := range DefaultFiles() {
		text, err := os.ReadFile(name)
		switch {
		case err == nil:
			return name, text, nil
		case !errors.Is(err, fs.ErrNotExist):
			return "", nil, fmt.Errorf("configuration file: %w", err)
		}
	}
	return "", nil, nil
}

// origins tells for every key which source decided it.
func origins(v *viper.Viper, flags *pflag.FlagSet, file string) map[string]string {
	out := map[string]string{}
	for _, k := range Keys() {
		f := lookup(flags, k.Flag)
		_, inEnv := os.LookupEnv(k.Env())
		switch {
		case f != nil && f.Changed:
			out[k.Name] = "--" + k.Flag
		case inEnv && os.Getenv(k.Env()) != "":
			out[k.Name] = k.Env()
		case v.InConfig(k.Name):
			out[k.Name] = file
		default:
			out[k.Name] = "default"
		}
	}
	return out
}

// unreadable turns a decoding error into one line a key, with its source.
func (c *Config) unreadable(err error) error {
	var lines []error
	for line := range strings.SplitSeq(err.Error(), "\n") {
		line = strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(line), "*"))
		line = strings.TrimSpace(strings.TrimPrefix(line, "-"))
		key, ok := quoted(line)
		if !ok {
			continue
		}
		if from := c.origin[strings.ToLower(key)]; from != "" && from != "default" {
			line = fmt.Sprintf("%s (from %s): %s", strings.ToLower(key), from, line)
		}
		lines = append(lines, errors.New(line))
	}
	if len(lines) == 0 {
		return err
	}
	return errors.Join(lines...)
}

func quoted(s string) (string, bool) {
	_, rest, ok := strings.Cut(s, "'")
	key, _, ok2 := strings.Cut(rest, "'")
	return key, ok && ok2
}
