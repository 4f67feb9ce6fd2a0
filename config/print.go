package config

import (
	"fmt"
	"io"
	"net"
	"net/url"
	"reflect"
	"strings"
)

// PublicURL is the address under which people reach potlife, without a slash
// at its end.
func (c *Config) PublicURL() string {
	if c.Public != "" {
		return strings.TrimRight(c.Public, "/")
	}
	host, port, err := net.SplitHostPort(c.Listen)
	if err != nil {
		return "http://" + c.Listen
	}
	if host == "" || host == "0.0.0.0" || host == "::" {
		host = "127.0.0.1"
	}
	return "http://" + net.JoinHostPort(host, port)
}

// Chosen reports whether anybody set the key: a file, the environment or a flag.
func (c *Config) Chosen(key string) bool { return c.origin[key] != "" && c.origin[key] != "default" }

// Print writes every key with its value and where it comes from, secrets
// hidden, as YAML with comments.
func (c *Config) Print(w io.Writer) error {
	for _, k := range Keys() {
		value := c.value(k.Name)
		if k.Secret {
			value = hide(value)
		}
		if _, err := fmt.Fprintf(w, "%s: %s  # %s\n", k.Name, yamlText(value), c.origin[k.Name]); err != nil {
			return err
		}
	}
	return nil
}

// value finds a key in the struct by its tags.
func (c *Config) value(name string) string {
	at := reflect.ValueOf(c).Elem()
	for part := range strings.SplitSeq(name, ".") {
		for i := range at.NumField() {
			if at.Type().Field(i).Tag.Get("mapstructure") == part {
				at = at.Field(i)
				break
			}
		}
	}
	return fmt.Sprint(at.Interface())
}

// hide keeps of an address what is no secret, and nothing of anything else.
func hide(s string) string {
	if s == "" {
		return ""
	}
	u, err := url.Parse(s)
	if err != nil || u.Host == "" {
		return "(hidden)"
	}
	if _, has := u.User.Password(); has {
		u.User = url.UserPassword(u.User.Username(), "hidden")
	}
	q := u.Query()
	for key := range q {
		if strings.Contains(strings.ToLower(key), "password") {
			q.Set(key, "hidden")
		}
	}
	u.RawQuery = q.Encode()
	return u.String()
}

func yamlText(s string) string {
	if s == "" || strings.ContainsAny(s, ":#{}[]*&!|>'\"%@`") || strings.TrimSpace(s) != s {
		return fmt.Sprintf("%q", s)
	}
	return s
}
