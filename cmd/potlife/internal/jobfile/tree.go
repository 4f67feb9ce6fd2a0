package jobfile

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// maxBytes is the largest file that is read.
const maxBytes = 16 << 20

// maxNodes bounds what anchors may expand to, so that a short file cannot
// grow into a long one.
const maxNodes = 2_000_000

// place is where something stands in a file.
type place struct {
	file      string
	line, col int
}

// sort of a value.
type kind int

const (
	nothing kind = iota
	scalar
	mapping
	sequence
)

func (k kind) String() string {
	return [...]string{"nothing", "a single value", "a mapping (key: value)", "a list"}[k]
}

// value is a YAML value with its place; scalars are kept as they were written,
// because 5' 10", 07:00 and 1.50 mean something only to the field they fill.
type value struct {
	place
	kind  kind
	text  string
	pairs []pair
	items []*value
}

// pair is one key of a mapping.
type pair struct {
	place
	key   string
	value *value
	// merged pairs came in by a merge key and give way to the mapping's own.
	merged bool
}

// get returns the value under key, nil where there is none.
func (v *value) get(key string) *value {
	if v == nil {
		return nil
	}
	for i := range v.pairs {
		if v.pairs[i].key == key {
			return v.pairs[i].value
		}
	}
	return nil
}

// at returns the place of the value under key, and v's own where it is left
// out.
func (v *value) at(key string) place {
	if in := v.get(key); in != nil {
		return in.place
	}
	return v.place
}

// isWord reports whether v is the single value text.
func (v *value) isWord(text string) bool {
	return v != nil && v.kind == scalar && strings.EqualFold(strings.TrimSpace(v.text), text)
}

// tree parses a file into its documents. What is no YAML is reported with its
// place; a tab in the indentation is looked for first, line by line, because
// the parser stops at the first.
func tree(name string, text []byte) ([]*value, Problems) {
	if len(text) > maxBytes {
		return nil, Problems{{File: name, What: fmt.Sprintf("the file has %d bytes", len(text)), Expected: fmt.Sprintf("at most %d; split it by job", maxBytes)}}
	}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")) // some editors begin with a byte order mark
	if ps := plainText(name, text); len(ps) > 0 {
		return nil, ps
	}
	file, err := parseYAML(text)
	if err != nil {
		return nil, Problems{syntaxProblem(name, err)}
	}
	b := builder{file: name, anchors: map[string]*value{}}
	var docs []*value
	for _, d := range file.Docs {
		if d == nil || d.Body == nil {
			continue
		}
		if v := b.build(d.Body, 0); v != nil && v.kind != nothing {
			docs = append(docs, v)
		}
	}
	return docs, b.problems
}

// parseYAML contains a panic of the parser: a file that breaks it is bad input
// like any other.
func parseYAML(text []byte) (file *ast.File, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("the YAML cannot be read")
		}
	}()
	return parser.ParseBytes(text, 0, parser.AllowDuplicateMapKey())
}

// plainText reports tabs in indentation and bytes that are no UTF-8. A file that
// is no text at all, or text of another encoding, is said once and not by line.
func plainText(name string, text []byte) Problems {
	const expected = "a text file saved as UTF-8"
	switch {
	case bytes.HasPrefix(text, []byte("\xff\xfe")), bytes.HasPrefix(text, []byte("\xfe\xff")):
		return Problems{{name, 1, 1, "the file is UTF-16", expected}}
	case bytes.IndexByte(text, 0) >= 0:
		return Problems{{name, 1 + bytes.Count(text[:bytes.IndexByte(text, 0)], []byte("\n")), 1, "the file is no text", expected}}
	}
	var ps Problems
	foreign := -1
	for i, line := range strings.Split(string(text), "\n") {
		if !utf8.ValidString(line) {
			if foreign < 0 {
				foreign = len(ps)
				ps = append(ps, Problem{name, i + 1, notUTF8(line), "a character here is not UTF-8", expected})
			} else {
				ps[foreign].What = "a character here, and in lines below, is not UTF-8"
			}
			continue
		}
		white := line[:len(line)-len(strings.TrimLeft(line, " \t"))]
		if t := strings.IndexByte(white, '\t'); t >= 0 && strings.TrimSpace(line) != "" {
			ps = append(ps, Problem{name, i + 1, t + 1, "a tab indents the line", "spaces"})
		}
	}
	return ps
}

// notUTF8 is the column of the first character of a line that is not UTF-8.
func notUTF8(line string) int {
	column := 1
	for len(line) > 0 {
		r, size := utf8.DecodeRuneInString(line)
		if r == utf8.RuneError && size == 1 {
			break
		}
		line = line[size:]
		column++
	}
	return column
}

// syntaxProblem gives a parser error its place.
func syntaxProblem(name string, err error) Problem {
	p := Problem{File: name, What: "no valid YAML: " + err.Error(), Expected: "key: value lines, indented by spaces"}
	var at yaml.Error
	if errors.As(err, &at) {
		p.What = "no valid YAML: " + at.GetMessage()
		if t := at.GetToken(); t != nil && t.Position != nil {
			p.Line, p.Col = t.Position.Line, t.Position.Column
		}
	}
	p.What, _, _ = strings.Cut(p.What, "\n")
	return p
}

// builder turns the parser's nodes into values.
type builder struct {
	file     string
	anchors  map[string]*value
	nodes    int
	problems Problems
	full     bool
}

func (b *builder) fail(at place, what, expected string) {
	b.problems = append(b.problems, Problem{at.file, at.line, at.col, what, expected})
}

// place of a token, which may be missing for values that are left empty.
func (b *builder) at(t *token.Token) place {
	p := place{file: b.file, line: 1, col: 1}
	if t != nil && t.Position != nil {
		p.line, p.col = max(1, t.Position.Line), max(1, t.Position.Column)
	}
	return p
}

// build returns the value of a node; depth bounds nesting.
func (b *builder) build(n ast.Node, depth int) *value {
	if n == nil || b.full {
		return nil
	}
	v := &value{place: b.at(n.GetToken())}
	if b.nodes++; b.nodes > maxNodes || depth > 60 {
		b.full = true
		b.fail(v.place, "the file is too large or too deeply nested", fmt.Sprintf("at most %d values, 60 levels deep", maxNodes))
		return nil
	}
	switch x := n.(type) {
	case *ast.MappingNode:
		if text, at, ok := b.glued(x); ok {
			return &value{place: at, kind: scalar, text: text}
		}
		v.kind = mapping
		for _, p := range x.Values {
			b.pair(v, p, depth)
		}
		v.start()
	case *ast.MappingValueNode:
		v.kind = mapping
		b.pair(v, x, depth)
		v.start()
	case *ast.SequenceNode:
		v.kind = sequence
		for _, item := range x.Values {
			if in := b.build(item, depth+1); in != nil {
				v.items = append(v.items, in)
			}
		}
	case *ast.AnchorNode:
		return b.anchor(x, v, depth)
	case *ast.AliasNode:
		return b.alias(x, v)
	case *ast.TagNode:
		return b.build(x.Value, depth+1)
	case *ast.LiteralNode:
		v.kind, v.text = scalar, x.Value.Value
	case *ast.NullNode:
		v.kind = nothing
	default:
		v.kind, v.text = scalar, n.GetToken().Value
	}
	return v
}

// glued undoes what the parser makes of 07:00-12:00 in a list inside braces: a
// mapping from 07 to 00-12:00. A colon that no space follows belongs to the
// text (YAML 1.2, plain scalars).
func (b *builder) glued(x *ast.MappingNode) (string, place, bool) {
	if len(x.Values) != 1 || x.Start == nil || x.Start.Type == token.MappingStartType {
		return "", place{}, false
	}
	p := x.Values[0]
	if p.Key == nil || p.Value == nil || p.Start == nil {
		return "", place{}, false
	}
	key, val := p.Key.GetToken(), p.Value.GetToken()
	if key == nil || val == nil || !plainToken(key) || !plainToken(val) {
		return "", place{}, false
	}
	k, colon, w := b.at(key), b.at(p.Start), b.at(val)
	if k.line != w.line || w.col != colon.col+1 || k.col+utf8.RuneCountInString(key.Value) != colon.col {
		return "", place{}, false
	}
	return key.Value + ":" + val.Value, k, true
}

// plainToken tells a scalar without quotes.
func plainToken(t *token.Token) bool {
	switch t.Type {
	case token.StringType, token.IntegerType, token.FloatType, token.OctetIntegerType, token.HexIntegerType, token.BinaryIntegerType, token.BoolType, token.NullType:
		return true
	}
	return false
}

// start moves the place of a block mapping from its first colon to its first
// key.
func (v *value) start() {
	if len(v.pairs) > 0 && (v.pairs[0].line < v.line || v.pairs[0].line == v.line && v.pairs[0].col < v.col) {
		v.place = v.pairs[0].place
	}
}

// anchor builds the value behind &name and remembers it.
func (b *builder) anchor(x *ast.AnchorNode, v *value, depth int) *value {
	in := b.build(x.Value, depth+1)
	if in == nil {
		in = v
	}
	if x.Name != nil {
		b.anchors[x.Name.GetToken().Value] = in
	}
	return in
}

// alias returns a copy of what *name stands for, placed where it is used.
func (b *builder) alias(x *ast.AliasNode, v *value) *value {
	if x.Value == nil {
		return v
	}
	name := x.Value.GetToken().Value
	in, ok := b.anchors[name]
	if !ok {
		b.fail(v.place, fmt.Sprintf("*%s refers to an anchor that is not there", name), "&"+name+" further up in the file")
		return v
	}
	if b.nodes += in.size(maxNodes); b.nodes > maxNodes {
		b.full = true
		b.fail(v.place, "anchors make the file too large", fmt.Sprintf("at most %d values", maxNodes))
		return v
	}
	return in
}

// size counts the values in v, up to most.
func (v *value) size(most int) int {
	n := 1
	for i := range v.pairs {
		if n < most {
			n += v.pairs[i].value.size(most - n)
		}
	}
	for _, in := range v.items {
		if n < most {
			n += in.size(most - n)
		}
	}
	return n
}

// pair adds one key: value to v; a second one of the same key is refused, a
// merge key (<<) fills in what is not said otherwise.
func (b *builder) pair(v *value, p *ast.MappingValueNode, depth int) {
	if p == nil || p.Key == nil {
		return
	}
	at := b.at(p.Key.GetToken())
	in := b.build(p.Value, depth+1)
	if in == nil {
		in = &value{place: at}
	}
	if p.Key.IsMergeKey() {
		b.merge(v, at, in)
		return
	}
	key := keyText(p.Key)
	for i := range v.pairs {
		if v.pairs[i].key != key {
			continue
		}
		if v.pairs[i].merged {
			v.pairs[i] = pair{place: at, key: key, value: in}
			return
		}
		b.fail(at, fmt.Sprintf("%q stands here a second time (first in line %d)", key, v.pairs[i].line), "each key once")
		return
	}
	v.pairs = append(v.pairs, pair{place: at, key: key, value: in})
}

// merge adds the keys of another mapping that v does not have itself.
func (b *builder) merge(v *value, at place, in *value) {
	if in.kind != mapping {
		b.fail(at, "<< takes "+in.kind.String(), "an anchored mapping (<<: *name)")
		return
	}
	for _, p := range in.pairs {
		if v.get(p.key) == nil {
			p.merged = true
			v.pairs = append(v.pairs, p)
		}
	}
}

func keyText(k ast.MapKeyNode) string {
	t := k.GetToken()
	if mk, ok := k.(*ast.MappingKeyNode); ok && mk.Value != nil {
		t = mk.Value.GetToken()
	}
	if t == nil {
		return ""
	}
	return t.Value
}
