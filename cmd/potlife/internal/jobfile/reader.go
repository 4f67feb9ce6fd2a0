package jobfile

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"potlife/rooms"
)

// reader walks the values of all files, collects every problem, and puts off
// to the end what needs the whole: references between parts.
type reader struct {
	problems Problems
	twoFirms bool
	// imperial is set once the firm is known, and it works in inches.
	imperial bool
	// corners is what closes outside corners in the firm, nil where it says nothing.
	corners *string
	// lack gathers what parts of the job at hand neither give nor inherit.
	lack map[string][]lacking
	// later runs when everything is read.
	later []func(*catalog)
}

// fail notes a problem.
func (r *reader) fail(at place, what, expected string) {
	r.problems = append(r.problems, Problem{at.file, at.line, at.col, what, expected})
}

// failf is fail with a formatted text.
func (r *reader) failf(at place, expected, format string, args ...any) {
	r.fail(at, fmt.Sprintf(format, args...), expected)
}

// told reports whether v, or what stands in it, has been found wrong already:
// what follows from that need not be said too.
func (r *reader) told(v *value) bool {
	if v == nil {
		return false
	}
	for _, p := range r.problems {
		if (place{p.File, p.Line, p.Col}) == v.place {
			return true
		}
	}
	return slices.ContainsFunc(v.items, r.told) || slices.ContainsFunc(v.pairs, func(p pair) bool { return r.told(p.value) })
}

// say prints a length as the firm writes it.
func (r *reader) say(l rooms.Length) string { return rooms.InWords(l, r.imperial) }

// lacking is a part of a job that lacks something, and where it stands.
type lacking struct {
	at   place
	what string
}

// lacking notes that what stands at a place neither has the key nor inherits it.
func (r *reader) lacking(key string, at place, what string) {
	if r.lack == nil {
		r.lack = map[string][]lacking{}
	}
	r.lack[key] = append(r.lack[key], lacking{at, what})
}

// sayLacking reports each key that is lacking once for a job, however many parts
// would inherit it.
func (r *reader) sayLacking() {
	for _, key := range sortedKeys(r.lack) {
		all := r.lack[key]
		what := all[0].what
		if n := len(all) - 1; n == 1 {
			what += " and one more are"
		} else if n > 1 {
			what += fmt.Sprintf(" and %d more are", n)
		} else {
			what += " is"
		}
		r.failf(all[0].at, key+" here, or in set of the surface, the room or the job", "%s without %s", what, key)
	}
	r.lack = nil
}

// form is one way of writing values of type V: how they are read, how they are
// written so that reading gives the same, and the JSON Schema of what may
// stand there. One table of forms serves all three, so they cannot drift.
type form[V any] struct {
	read   func(*reader, *value) (V, bool)
	write  func(V) any
	schema func(*schemas) any
}

// field is one key of an object that is kept in a T.
type field[T any] struct {
	key, doc string
	must     bool
	read     func(*reader, *value, *T)
	// write gives the value to export, false where the key is left out.
	write  func(*T) (any, bool)
	schema func(*schemas) any
}

// keep stores what f reads under key where at points to. A zero value is left
// out when exporting, so it must be what a left out key means.
func keep[T, V any](key, doc string, f form[V], at func(*T) *V) field[T] {
	return field[T]{key: key, doc: doc,
		read: func(r *reader, v *value, into *T) {
			if got, ok := f.read(r, v); ok {
				*at(into) = got
			}
		},
		write: func(from *T) (any, bool) {
			got := *at(from)
			rv := reflect.ValueOf(&got).Elem()
			if rv.IsZero() || rv.Kind() == reflect.Slice && rv.Len() == 0 {
				return nil, false
			}
			return f.write(got), true
		},
		schema: f.schema,
	}
}

// needed marks a field that must not be left out.
func (f field[T]) needed() field[T] {
	f.must = true
	return f
}

// always exports the field even where it is zero, for keys whose being left out
// means something else.
func always[T, V any](key, doc string, f form[V], at func(*T) *V) field[T] {
	out := keep(key, doc, f, at)
	out.write = func(t *T) (any, bool) { return f.write(*at(t)), true }
	return out
}

// readOnly marks a shorthand: it is read, and exported in another form.
func (f field[T]) readOnly() field[T] {
	f.write = func(*T) (any, bool) { return nil, false }
	return f
}

// object is a mapping with known keys that fills a T.
type object[T any] struct {
	name, doc string
	fields    []field[T]
	// check looks at what was read, with its place.
	check func(*reader, *value, *T)
	// short reads a single value instead of a mapping, where there is such a
	// shorthand; shortDoc describes it.
	short    func(*reader, *value, *T) bool
	shortDoc string
	// start gives the T that the keys are read into, where zero is not right.
	start func() T
}

// keys returns the object's keys in order.
func (o *object[T]) keys() []string {
	keys := make([]string, len(o.fields))
	for i := range o.fields {
		keys[i] = o.fields[i].key
	}
	return keys
}

// of is the form of o.
func of[T any](o *object[T]) form[T] {
	return form[T]{
		read:   func(r *reader, v *value) (T, bool) { return o.read(r, v) },
		write:  func(t T) any { return o.write(t) },
		schema: func(s *schemas) any { return schemaOf(s, o) },
	}
}

// read fills a T; problems are noted, and it reports whether the shape was
// right at all.
func (o *object[T]) read(r *reader, v *value) (T, bool) {
	var t T
	if o.start != nil {
		t = o.start()
	}
	if o.short != nil && v.kind == scalar {
		return t, o.short(r, v, &t)
	}
	if v.kind != mapping {
		r.failf(v.place, "a mapping with the keys "+list(o.keys()), "%s is %s", o.name, v.kind)
		return t, false
	}
	for i := range v.pairs {
		o.readPair(r, &v.pairs[i], &t)
	}
	for i := range o.fields {
		if f := &o.fields[i]; f.must && v.get(f.key) == nil {
			r.failf(v.place, f.doc, "%s without %q", o.name, f.key)
		}
	}
	if o.check != nil {
		o.check(r, v, &t)
	}
	return t, true
}

func (o *object[T]) readPair(r *reader, p *pair, t *T) {
	for i := range o.fields {
		f := &o.fields[i]
		if f.key != p.key {
			continue
		}
		if p.value.kind == nothing {
			if f.must {
				r.failf(p.place, f.doc, "%q is left empty", p.key)
			}
			return
		}
		f.read(r, p.value, t)
		return
	}
	expected := "one of " + list(o.keys())
	if word := nearest(p.key, o.keys()); word != "" {
		expected = fmt.Sprintf("%q, or another of %s", word, list(o.keys()))
	}
	r.failf(p.place, expected, "unknown key %q in %s", p.key, o.name)
}

// write lists the keys of t that are not left out.
func (o *object[T]) write(t T) ordered {
	var out ordered
	for i := range o.fields {
		if got, ok := o.fields[i].write(&t); ok {
			out = append(out, entry{o.fields[i].key, got})
		}
	}
	return out
}

// listOf is a list of what f reads.
func listOf[V any](f form[V]) form[[]V] {
	return form[[]V]{
		read: func(r *reader, v *value) ([]V, bool) {
			if v.kind != sequence {
				r.failf(v.place, "a list, each entry beginning with -", "this is %s", v.kind)
				return nil, false
			}
			var out []V
			for _, in := range v.items {
				if got, ok := f.read(r, in); ok {
					out = append(out, got)
				}
			}
			return out, true
		},
		write: func(vs []V) any {
			out := make([]any, len(vs))
			for i := range vs {
				out[i] = f.write(vs[i])
			}
			return out
		},
		schema: func(s *schemas) any { return ordered{{"type", "array"}, {"items", f.schema(s)}} },
	}
}

// mapped is f for a type that is written as another one.
func mapped[A, B any](f form[A], in func(A) B, out func(B) A) form[B] {
	return form[B]{
		read: func(r *reader, v *value) (B, bool) {
			got, ok := f.read(r, v)
			return in(got), ok
		},
		write:  func(b B) any { return f.write(out(b)) },
		schema: f.schema,
	}
}

// maybe is f for a value whose being left out differs from its zero.
func maybe[V any](f form[V]) form[*V] {
	return form[*V]{
		read: func(r *reader, v *value) (*V, bool) {
			got, ok := f.read(r, v)
			return &got, ok
		},
		write:  func(v *V) any { return f.write(*v) },
		schema: f.schema,
	}
}

// single is a form read from one scalar: parse returns what was expected where
// the text does not fit.
func single[V any](parse func(string) (V, error), write func(V) any, schema any) form[V] {
	return form[V]{
		read: func(r *reader, v *value) (V, bool) {
			var none V
			if v.kind != scalar {
				r.failf(v.place, "a single value", "this is %s", v.kind)
				return none, false
			}
			got, err := parse(strings.TrimSpace(v.text))
			if err != nil {
				what, expected, _ := strings.Cut(err.Error(), "; expected ")
				r.fail(v.place, what, expected)
				return none, false
			}
			return got, true
		},
		write:  write,
		schema: func(*schemas) any { return schema },
	}
}

// list prints words with commas.
func list(words []string) string {
	if len(words) > 40 {
		words = append(append([]string(nil), words[:40]...), "…")
	}
	return strings.Join(words, ", ")
}
