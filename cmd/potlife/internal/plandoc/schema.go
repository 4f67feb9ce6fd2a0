package plandoc

import (
	"encoding/json"
	"reflect"
	"strings"
)

// Schema is the JSON Schema (2020-12) of the document, made from the Go types
// themselves, so that it cannot drift from what is written.
func Schema() []byte {
	s := schemaBuilder{defs: map[string]any{}}
	root := s.of(reflect.TypeOf(Document{}))
	out, err := json.MarshalIndent(map[string]any{
		"$schema": "https://json-schema.org/draft/2020-12/schema",
		"$id":     "urn:potlife:plan:1",
		"title":   "potlife plan document, " + Format,
		"description": "Lengths in mm, instants RFC 3339 with an offset, dates YYYY-MM-DD in zone. " +
			"A surface is seen from the side that is tiled: x to the right, y up.",
		"$ref":  root["$ref"],
		"$defs": s.defs,
	}, "", "  ")
	if err != nil {
		panic(err) // the map holds nothing that cannot be written
	}
	return append(out, '\n')
}

type schemaBuilder struct{ defs map[string]any }

var (
	mmType     = reflect.TypeOf(MM(0))
	spanType   = reflect.TypeOf(Span{})
	pointType  = reflect.TypeOf(Point{})
	numberType = reflect.TypeOf(json.Number(""))
)

func (s schemaBuilder) of(t reflect.Type) map[string]any {
	switch t {
	case mmType:
		return map[string]any{"type": "number", "description": "mm"}
	case pointType:
		return tuple(map[string]any{"type": "number"})
	case spanType:
		return tuple(map[string]any{"type": "string", "format": "date-time"})
	case numberType:
		return map[string]any{"type": []string{"number", "string"}}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return map[string]any{"anyOf": []any{s.of(t.Elem()), map[string]any{"type": "null"}}}
	case reflect.Slice:
		return map[string]any{"type": "array", "items": s.of(t.Elem())}
	case reflect.Struct:
		return s.object(t)
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.Int:
		return map[string]any{"type": "integer"}
	case reflect.Float64:
		return map[string]any{"type": "number"}
	}
	return map[string]any{"type": "string"}
}

func tuple(item map[string]any) map[string]any {
	return map[string]any{"type": "array", "items": item, "minItems": 2, "maxItems": 2}
}

// object writes a struct once under $defs and refers to it.
func (s schemaBuilder) object(t reflect.Type) map[string]any {
	ref := map[string]any{"$ref": "#/$defs/" + t.Name()}
	if _, ok := s.defs[t.Name()]; ok {
		return ref
	}
	def := map[string]any{"type": "object"}
	s.defs[t.Name()] = def
	properties, required := map[string]any{}, []string{}
	for i := range t.NumField() {
		f := t.Field(i)
		name, how, _ := strings.Cut(f.Tag.Get("json"), ",")
		properties[name] = s.of(f.Type)
		if how != "omitempty" {
			required = append(required, name)
		}
	}
	def["properties"], def["required"] = properties, required
	return ref
}
