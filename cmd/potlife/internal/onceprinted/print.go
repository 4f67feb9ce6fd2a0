// Package onceprinted writes large values as JSON again and again, of which little
// changes from one time to the next: only that is encoded.
package onceprinted

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"runtime"
	"strings"
	"sync"
)

// Text is a struct written out as JSON, with the places of the entries of its lists,
// from which the next text takes over what is the same. Neither Bytes nor the value
// may be changed afterwards.
type Text[T any] struct {
	Bytes   []byte
	value   *T
	entries [][][]byte // by field and entry, in Bytes
}

// Keep says that v, which equals the value printed in every list, is kept in its
// place; the value itself may then be changed.
func (t *Text[T]) Keep(v *T) { t.value = v }

// Print writes the struct v as json.Marshal does, byte for byte. before is a text
// printed earlier, or nil. Embedded fields and options in tags are not understood.
func Print[T any](v *T, before *Text[T]) (*Text[T], error) {
	fields, err := namesOf(reflect.TypeFor[T]())
	if err != nil {
		return nil, err
	}
	at := reflect.ValueOf(v).Elem()
	texts, errs := make([]printedField, len(fields)), make([]error, len(fields))
	var wg sync.WaitGroup
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i, f := range fields {
		var was reflect.Value
		var old [][]byte
		if before != nil {
			was, old = reflect.ValueOf(before.value).Elem().Field(f.index), before.entries[i]
		}
		free <- struct{}{}
		wg.Go(func() {
			texts[i], errs[i] = printField(at.Field(f.index), was, old)
			<-free
		})
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return joined(v, fields, texts), nil
}

// named is a field that is written.
type named struct {
	index int
	name  string
}

func namesOf(t reflect.Type) ([]named, error) {
	var list []named
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Anonymous || options != "" {
			return nil, fmt.Errorf("print %s: field %s is embedded or has the option %q", t, f.Name, options)
		}
		if !f.IsExported() || name == "-" {
			continue
		}
		if name == "" {
			name = f.Name
		}
		list = append(list, named{i, name})
	}
	return list, nil
}

// printedField is what one field comes out as: a list by its entries.
type printedField struct {
	list    bool
	whole   []byte
	entries [][]byte
}

func (f *printedField) size() int {
	n := len(f.whole) + 2
	for _, e := range f.entries {
		n += len(e) + 1
	}
	return n
}

func printField(v, was reflect.Value, old [][]byte) (f printedField, err error) {
	if v.Kind() != reflect.Slice || v.IsNil() || v.Type().Elem().Kind() == reflect.Uint8 {
		f.whole, err = json.Marshal(v.Addr().Interface())
		return f, err
	}
	f.list, f.entries = true, make([][]byte, v.Len())
	for i := range f.entries {
		if i < len(old) && alike(v.Index(i), was.Index(i)) {
			f.entries[i] = old[i]
		} else if f.entries[i], err = json.Marshal(v.Index(i).Addr().Interface()); err != nil {
			return f, err
		}
	}
	return f, nil
}

// joined puts the fields together.
func joined[T any](v *T, names []named, fields []printedField) *Text[T] {
	t := &Text[T]{value: v, entries: make([][][]byte, len(fields))}
	size := 2
	for i := range fields {
		size += fields[i].size() + len(names[i].name) + 4
	}
	var b bytes.Buffer
	b.Grow(size)
	b.WriteByte('{')
	for i, f := range fields {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(`"` + names[i].name + `":`)
		b.Write(f.whole)
		if !f.list {
			continue
		}
		b.WriteByte('[')
		for k, e := range f.entries {
			if k > 0 {
				b.WriteByte(',')
			}
			from := b.Len()
			b.Write(e)
			f.entries[k] = b.Bytes()[from:b.Len():b.Len()]
		}
		b.WriteByte(']')
		t.entries[i] = f.entries
	}
	b.WriteByte('}')
	t.Bytes = b.Bytes()
	return t
}

// alike reports whether two values are written alike: everything in them is the
// same, figures to the bit. What it does not know counts as different.
func alike(a, b reflect.Value) bool {
	switch a.Kind() {
	case reflect.String:
		return a.String() == b.String()
	case reflect.Float32, reflect.Float64:
		return math.Float64bits(a.Float()) == math.Float64bits(b.Float())
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return a.Int() == b.Int()
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return a.Uint() == b.Uint()
	case reflect.Bool:
		return a.Bool() == b.Bool()
	case reflect.Pointer:
		return a.Pointer() == b.Pointer() || !a.IsNil() && !b.IsNil() && alike(a.Elem(), b.Elem())
	case reflect.Slice:
		return a.IsNil() == b.IsNil() && a.Len() == b.Len() && (a.Pointer() == b.Pointer() || alikeEach(a, b))
	case reflect.Array:
		return alikeEach(a, b)
	case reflect.Map:
		return a.IsNil() == b.IsNil() && a.Len() == b.Len() && (a.Pointer() == b.Pointer() || alikeMaps(a, b))
	case reflect.Struct:
		for i := range a.NumField() {
			if !alike(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	}
	return false
}

func alikeEach(a, b reflect.Value) bool {
	for i := range a.Len() {
		if !alike(a.Index(i), b.Index(i)) {
			return false
		}
	}
	return true
}

func alikeMaps(a, b reflect.Value) bool {
	for it := a.MapRange(); it.Next(); {
		if v := b.MapIndex(it.Key()); !v.IsValid() || !alike(it.Value(), v) {
			return false
		}
	}
	return true
}
