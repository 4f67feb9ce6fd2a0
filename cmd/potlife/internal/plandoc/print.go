package plandoc

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"runtime"
	"strings"
	"sync"
)

// Printed is a document written out as JSON, with the places of the entries of its
// lists, from which the next document takes over what is the same. The document
// must not be changed afterwards.
type Printed struct {
	Text    []byte
	doc     *Document
	entries [][][]byte // by field and entry, in Text
}

// Print writes d as json.Marshal does, byte for byte. before is a document printed
// earlier, or nil; only what differs from it is encoded.
func Print(d *Document, before *Printed) (*Printed, error) {
	v := reflect.ValueOf(d).Elem()
	texts, errs := make([]printedField, v.NumField()), make([]error, v.NumField())
	var wg sync.WaitGroup
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range texts {
		var was reflect.Value
		var old [][]byte
		if before != nil {
			was, old = reflect.ValueOf(before.doc).Elem().Field(i), before.entries[i]
		}
		free <- struct{}{}
		wg.Go(func() {
			texts[i], errs[i] = printField(v.Field(i), was, old)
			<-free
		})
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return joined(d, texts), nil
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
	if v.Kind() != reflect.Slice || v.IsNil() {
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
func joined(d *Document, fields []printedField) *Printed {
	p := &Printed{doc: d, entries: make([][][]byte, len(fields))}
	size := 2
	for i := range fields {
		size += fields[i].size() + 40
	}
	var b bytes.Buffer
	b.Grow(size)
	t := reflect.TypeFor[Document]()
	for i, f := range fields {
		name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		b.WriteByte("{,"[min(i, 1)])
		b.WriteString(`"` + name + `":`)
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
		p.entries[i] = f.entries
	}
	b.WriteByte('}')
	p.Text = b.Bytes()
	return p
}

// alike reports whether two values of a document are written alike; figures are
// compared by their bits. What it does not know counts as different.
func alike(a, b reflect.Value) bool {
	switch a.Kind() {
	case reflect.String:
		return a.String() == b.String()
	case reflect.Float64:
		return math.Float64bits(a.Float()) == math.Float64bits(b.Float())
	case reflect.Int:
		return a.Int() == b.Int()
	case reflect.Bool:
		return a.Bool() == b.Bool()
	case reflect.Pointer:
		return a.IsNil() && b.IsNil() || !a.IsNil() && !b.IsNil() && alike(a.Elem(), b.Elem())
	case reflect.Slice:
		if a.IsNil() != b.IsNil() || a.Len() != b.Len() {
			return false
		}
		fallthrough
	case reflect.Array:
		for i := range a.Len() {
			if !alike(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
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
