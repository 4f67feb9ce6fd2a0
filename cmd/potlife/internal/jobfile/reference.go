package jobfile

import (
	"bytes"
	"fmt"
	"sort"
	"strconv"
	"strings"
)

// Reference describes the parts of a job file for who writes one: each part with
// what it is, and every key with what may stand there, from the tables the reader
// uses. Only names parts; none stands for all. Unknown names are returned.
func Reference(only ...string) (text []byte, unknown []string) {
	s := &schemas{defs: map[string]any{}}
	of(&fileObject).schema(s)
	var b bytes.Buffer
	wanted := map[string]bool{}
	for _, name := range only {
		name = strings.ReplaceAll(strings.ToLower(name), "-", "_")
		if _, ok := s.defs[name]; !ok {
			unknown = append(unknown, name)
		}
		wanted[name] = true
	}
	if len(only) == 0 {
		b.WriteString(referenceHead)
	}
	for _, name := range s.names {
		if len(only) == 0 || wanted[name] {
			writePart(&b, name, s.defs[name].(ordered))
		}
	}
	return b.Bytes(), unknown
}

// PartNames are the parts that Reference knows.
func PartNames() []string {
	s := &schemas{defs: map[string]any{}}
	of(&fileObject).schema(s)
	names := append([]string(nil), s.names...)
	sort.Strings(names)
	return names
}

const referenceHead = `JOB FILE

A job file is YAML: a firm (its crews, suppliers, tiles, products, and what it has in the
yard), jobs (sites, rooms, surfaces), or both. Keys stand before a colon; what belongs to a
key is indented under it; the entries of a list begin with "- ". Comments begin with #.
"potlife demo --print" prints a whole one to copy, "potlife check FILE" says what is wrong
with one, line by line, and "potlife fields PART" prints one part of this text.

Lengths   1778 (mm), 1.778 m, 177.8 cm, 70", 70 1/2", 5' 10 3/8"; a firm that works in
          inches writes every length with its unit
Weights   25 kg, 500 g, 50 lb, 8 oz       Areas         4.5 m2, 48 ft2
Volumes   310 ml, 5 l, 10.1 fl oz, 3.5 gal   Temperatures  14 °C, 57 °F
Times     90min, 24h, 1h 30min, 3d        Dates         2026-12-24
Shares    0.98 or 98 %                    Money         24.90, in the firm's currency
Points    [x, y], x to the right and y up, as seen from the side that is tiled
Keys      short names of letters, digits and . _ + -, the same in every import

"needed" marks what must not be left out. Everything else has the default named.
`

// writePart prints one object.
func writePart(b *bytes.Buffer, name string, def ordered) {
	fmt.Fprintf(b, "\n%s\n", strings.ToUpper(name))
	if doc, ok := find(def, "description").(string); ok {
		wrapped(b, "  ", "  ", sentence(doc))
	}
	if both, ok := find(def, "anyOf").([]any); ok { // a single value or a mapping
		short, _ := both[0].(ordered)
		if doc, ok := find(short, "description").(string); ok {
			wrapped(b, "  ", "  ", "Or a single value in its place: "+doc+".")
		}
		def, _ = both[1].(ordered)
	}
	needed := map[string]bool{}
	if list, ok := find(def, "required").([]any); ok {
		for _, k := range list {
			needed[fmt.Sprint(k)] = true
		}
	}
	props, _ := find(def, "properties").(ordered)
	for _, p := range props {
		sub, _ := p.value.(ordered)
		title, _ := find(sub, "title").(string)
		if either, ok := find(sub, "anyOf").([]any); ok && len(either) == 2 { // left out or empty
			if real, ok := either[0].(ordered); ok {
				sub = real
			}
		}
		line := "  " + p.key + ": " + kindOf(sub)
		if needed[p.key] {
			line += " (needed)"
		}
		b.WriteString(line + "\n")
		if title = sentence(title); title != sentence(kindOf(sub)) {
			wrapped(b, "      ", "      ", title)
		}
	}
}

// kindOf says in words what a schema allows.
func kindOf(o ordered) string {
	if ref, ok := find(o, "$ref").(string); ok {
		return strings.ToUpper(strings.TrimPrefix(ref, "#/$defs/"))
	}
	if enum, ok := find(o, "enum").([]any); ok {
		words := make([]string, len(enum))
		for i, w := range enum {
			words[i] = fmt.Sprint(w)
		}
		return "one of " + strings.Join(words, ", ")
	}
	if items, ok := find(o, "items").(ordered); ok && find(o, "type") == any("array") {
		if find(o, "maxItems") == any(2) && find(o, "minItems") == any(2) {
			return "point [x, y]"
		}
		if inner := kindOf(items); inner != "text" {
			return "list of " + inner
		}
		if doc, ok := find(o, "description").(string); ok {
			return doc
		}
		return "list"
	}
	if doc, ok := find(o, "description").(string); ok {
		for _, known := range []string{"a length", "a temperature", "a weight", "a volume", "an area", "a span of time", "an amount of money", "a share"} {
			if strings.HasPrefix(doc, known) {
				return strings.TrimPrefix(strings.TrimPrefix(known, "a "), "an ") // told at the head
			}
		}
		return doc
	}
	if more, ok := find(o, "additionalProperties").(ordered); ok {
		return "mapping to " + kindOf(more)
	}
	if either, ok := find(o, "anyOf").([]any); ok {
		var words []string
		for _, e := range either {
			if sub, ok := e.(ordered); ok {
				words = append(words, kindOf(sub))
			}
		}
		if words[0] == "true or false" {
			return words[0]
		}
		return strings.Join(words, " or ")
	}
	return plainKind(o)
}

// plainKind names simple values.
func plainKind(o ordered) string {
	bounds := ""
	if least, most := find(o, "minimum"), find(o, "maximum"); least != nil && most != nil {
		bounds = " from " + plainNumber(least) + " to " + plainNumber(most)
	}
	switch fmt.Sprint(find(o, "type")) {
	case "integer":
		return "whole number" + bounds
	case "number":
		return "number" + bounds
	case "boolean":
		return "true or false"
	case "[number string]":
		return "number"
	case "[string number]":
		return "key"
	}
	if find(o, "format") == any("date") {
		return "date YYYY-MM-DD"
	}
	return "text"
}

// plainNumber prints a bound without an exponent.
func plainNumber(v any) string {
	if f, ok := v.(float64); ok {
		return strconv.FormatFloat(f, 'f', -1, 64)
	}
	return fmt.Sprint(v)
}

func find(o ordered, key string) any {
	for _, e := range o {
		if e.key == key {
			return e.value
		}
	}
	return nil
}

// sentence begins with a capital letter and ends with a stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	out := strings.ToUpper(string(r[:1])) + string(r[1:])
	if !strings.HasSuffix(out, ".") && !strings.HasSuffix(out, "…") {
		out += "."
	}
	return out
}

// wrapped prints text in lines of at most 92 characters.
func wrapped(b *bytes.Buffer, first, rest, text string) {
	line := first
	for _, w := range strings.Fields(text) {
		if len([]rune(line))+len([]rune(w)) > 92 && strings.TrimSpace(line) != "" {
			b.WriteString(strings.TrimRight(line, " ") + "\n")
			line = rest
		}
		line += w + " "
	}
	if strings.TrimSpace(line) != "" {
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
}
