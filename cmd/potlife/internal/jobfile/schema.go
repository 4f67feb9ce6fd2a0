package jobfile

import (
	"bytes"
	"encoding/json"
)

// schemas collects the definitions of a JSON Schema.
type schemas struct {
	names []string
	defs  map[string]any
}

// schemaOf names the object's definition and adds it once.
func schemaOf[T any](s *schemas, o *object[T]) any {
	ref := ordered{{"$ref", "#/$defs/" + o.name}}
	if _, ok := s.defs[o.name]; ok {
		return ref
	}
	s.names = append(s.names, o.name)
	s.defs[o.name] = nil // in the making
	var props ordered
	var must []any
	for i := range o.fields {
		f := &o.fields[i]
		sub, _ := f.schema(s).(ordered)
		sub = append(ordered{{"title", f.doc}}, sub...)
		if !f.must {
			sub = ordered{{"title", f.doc}, {"anyOf", []any{sub[1:], ordered{{"type", "null"}}}}}
		}
		props = append(props, entry{f.key, sub})
		if f.must {
			must = append(must, f.key)
		}
	}
	def := ordered{{"type", "object"}, {"properties", props}, {"additionalProperties", false}}
	if len(must) > 0 {
		def = append(def, entry{"required", must})
	}
	if o.short != nil {
		def = ordered{{"anyOf", []any{ordered{{"type", []any{"string", "number", "boolean"}}, {"description", o.shortDoc}}, def}}}
	}
	s.defs[o.name] = append(ordered{{"description", o.doc}}, def...)
	return ref
}

// Schema is the JSON Schema (draft 2020-12) of a job file, made from the
// tables the reader uses.
func Schema() []byte {
	s := &schemas{defs: map[string]any{}}
	root := of(&fileObject).schema(s)
	doc := ordered{
		{"$schema", "https://json-schema.org/draft/2020-12/schema"},
		{"title", "potlife job file"},
		{"description", "A firm, its jobs, or both. YAML files are checked after being read as JSON."},
	}
	doc = append(doc, root.(ordered)...)
	var defs ordered
	for _, name := range s.names {
		defs = append(defs, entry{name, s.defs[name]})
	}
	doc = append(doc, entry{"$defs", defs})
	raw, _ := json.Marshal(doc) // ordered, strings and numbers always marshal
	var out bytes.Buffer
	_ = json.Indent(&out, raw, "", "  ")
	out.WriteByte('\n')
	return out.Bytes()
}

// MarshalJSON keeps the order of the keys.
func (o ordered) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, in := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		key, err := json.Marshal(in.key)
		if err != nil {
			return nil, err
		}
		val, err := json.Marshal(in.value)
		if err != nil {
			return nil, err
		}
		b.Write(key)
		b.WriteByte(':')
		b.Write(val)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}
