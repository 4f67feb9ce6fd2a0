// Package config reads potlife's settings: defaults, then a file, then
// POTLIFE_* variables, then flags, each outweighing what comes before. It is
// the only importer of viper and hands a plain struct on.
package config

import (
	"time"
)

// Config is the effective configuration.
type Config struct {
	Database Database      `mapstructure:"database"`
	DataDir  string        `mapstructure:"data_dir"`
	Listen   string        `mapstructure:"listen"`
	Public   string        `mapstructure:"public_url"`
	Issue    Issue         `mapstructure:"issue"`
	SMTP     SMTP          `mapstructure:"smtp"`
	Webhook  Webhook       `mapstructure:"webhook"`
	Folder   string        `mapstructure:"folder"`
	Log      Log           `mapstructure:"log"`
	Session  Session       `mapstructure:"session"`
	Metrics  Metrics       `mapstructure:"metrics"`
	Stop     time.Duration `mapstructure:"stop_timeout"`

	origin map[string]string
}

// Database says where data is kept. Without a URL potlife keeps a PostgreSQL
// cluster of its own under DataDir.
type Database struct {
	URL      string `mapstructure:"url"`
	MaxConns int    `mapstructure:"max_conns"`
}

// Issue overrides when and in which zone the next working day is issued.
type Issue struct {
	Spec string `mapstructure:"spec"`
	Zone string `mapstructure:"zone"`
}

// SMTP is the server that takes mail; none without a host.
type SMTP struct {
	Host     string        `mapstructure:"host"`
	Port     int           `mapstructure:"port"`
	User     string        `mapstructure:"user"`
	Password string        `mapstructure:"password"`
	From     string        `mapstructure:"from"`
	StartTLS string        `mapstructure:"starttls"`
	Insecure bool          `mapstructure:"insecure"`
	Timeout  time.Duration `mapstructure:"timeout"`
}

// Webhook is where events are posted; none without a URL.
type Webhook struct {
	URL     string        `mapstructure:"url"`
	Secret  string        `mapstructure:"secret"`
	Timeout time.Duration `mapstructure:"timeout"`
}

// Log says how much is logged and in which form.
type Log struct {
	Level  string `mapstructure:"level"`
	Format string `mapstructure:"format"`
}

// Metrics says who may read them beside a signed-in contractor.
type Metrics struct {
	Token string `mapstructure:"token"`
}

// Session says how long somebody stays signed in.
type Session struct {
	Lifetime time.Duration `mapstructure:"lifetime"`
	Idle     time.Duration `mapstructure:"idle"`
}
