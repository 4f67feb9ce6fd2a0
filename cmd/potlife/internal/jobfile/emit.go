package jobfile

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"

	"potlife/rooms"
)

// ordered is a mapping on its way out: YAML here, JSON in the schema.
type ordered []entry

type entry struct {
	key   string
	value any
}

// raw is a scalar that is written as it stands, without quotes.
type raw string

// sizeOut is a width and a height, written "297 x 597".
type sizeOut [2]rooms.Length

// emitter writes values as YAML, small ones on one line.
type emitter struct {
	bytes.Buffer
	imperial bool
}

var plainScalar = regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N} ._/()°²+%'&;-]*$`)

// scalar prints text so that it reads back as the same text.
func (e *emitter) scalar(v any) (string, bool) {
	switch x := v.(type) {
	case raw:
		return string(x), true
	case lengthOut:
		return quote(x.text(e.imperial)), true
	case sizeOut:
		return quote(lengthOut(x[0]).text(e.imperial) + " x " + lengthOut(x[1]).text(e.imperial)), true
	case string:
		return quote(x), true
	}
	return "", false
}

// quote puts text in quotes unless it is plainly plain.
func quote(s string) string {
	switch strings.ToLower(s) {
	case "null", "true", "false", "yes", "no", "on", "off", "y", "n", "none", "nan", "inf":
		return strconv.Quote(s)
	}
	if plainScalar.MatchString(s) && strings.TrimSpace(s) == s {
		return s
	}
	return doubleQuoted(s)
}

var plainKey = regexp.MustCompile(`^[a-z0-9][a-z0-9_-]*$`)

// keyWord is a key: those of the tables are plain, y among them, which YAML 1.2
// no longer takes for a truth.
func keyWord(s string) string {
	if plainKey.MatchString(s) {
		return s
	}
	return quote(s)
}

// doubleQuoted is YAML's double-quoted form, which shares its escapes with JSON.
func doubleQuoted(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, c := range s {
		switch {
		case c == '"' || c == '\\':
			b.WriteByte('\\')
			b.WriteRune(c)
		case c == '\n':
			b.WriteString(`\n`)
		default:
			b.WriteRune(c)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// inline prints v on one line, false where it would be long.
func (e *emitter) inline(v any) (string, bool) {
	if s, ok := e.scalar(v); ok {
		return s, true
	}
	var parts []string
	open, end := "[", "]"
	switch x := v.(type) {
	case []any:
		for _, in := range x {
			s, ok := e.inline(in)
			if !ok {
				return "", false
			}
			parts = append(parts, s)
		}
	case ordered:
		open, end = "{", "}"
		for _, in := range x {
			s, ok := e.inline(in.value)
			if !ok {
				return "", false
			}
			parts = append(parts, keyWord(in.key)+": "+s)
		}
	}
	s := open + strings.Join(parts, ", ") + end
	return s, len(s) <= 110
}

// value writes v after what stands on the line already.
func (e *emitter) value(v any, indent string) {
	_, isScalar := e.scalar(v)
	if s, ok := e.inline(v); ok || isScalar {
		e.WriteString(" " + s + "\n")
		return
	}
	e.WriteByte('\n')
	switch x := v.(type) {
	case []any:
		for _, in := range x {
			e.WriteString(indent + "-")
			e.item(in, indent+"  ")
		}
	case ordered:
		for _, in := range x {
			e.WriteString(indent + keyWord(in.key) + ":")
			e.value(in.value, indent+"  ")
		}
	}
}

// item writes a list entry: a mapping begins on the line of the dash.
func (e *emitter) item(v any, indent string) {
	m, isMap := v.(ordered)
	if s, ok := e.inline(v); ok || !isMap {
		if ok {
			e.WriteString(" " + s + "\n")
			return
		}
		e.value(v, indent)
		return
	}
	for i, in := range m {
		if i == 0 {
			e.WriteByte(' ')
		} else {
			e.WriteString(indent)
		}
		e.WriteString(keyWord(in.key) + ":")
		e.value(in.value, indent+"  ")
	}
}
