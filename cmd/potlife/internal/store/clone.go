package store

import (
	"reflect"
	"sync"

	"potlife/scheduler"
)

// clone copies a plan so that nothing is shared with the original but what
// cannot change: texts, and time zones, which are all that it has pointers to.
func clone(p *scheduler.Plan) *scheduler.Plan {
	out := *p
	planShape().deepen(reflect.ValueOf(&out).Elem())
	return &out
}

// shape says where in values of a type there is something that an assignment
// does not copy; nil: nowhere.
type shape struct {
	kind   reflect.Kind // struct, slice, array or map
	fields []field      // of a struct
	elem   *shape       // of the others; nil: copied by assignment
}

type field struct {
	index int
	shape *shape
}

var planShape = sync.OnceValue(func() *shape { return shapeOf(reflect.TypeFor[scheduler.Plan]()) })

func shapeOf(t reflect.Type) *shape {
	switch t.Kind() {
	case reflect.Slice, reflect.Map:
		return &shape{kind: t.Kind(), elem: shapeOf(t.Elem())}
	case reflect.Array:
		if e := shapeOf(t.Elem()); e != nil {
			return &shape{kind: reflect.Array, elem: e}
		}
	case reflect.Struct:
		s := &shape{kind: reflect.Struct}
		for i := range t.NumField() {
			// What a package keeps to itself, as time.Time does, is its to share.
			if f := t.Field(i); f.IsExported() {
				if inner := shapeOf(f.Type); inner != nil {
					s.fields = append(s.fields, field{i, inner})
				}
			}
		}
		if s.fields != nil {
			return s
		}
	}
	return nil
}

// deepen replaces everything that v shares with the value it was assigned from.
func (s *shape) deepen(v reflect.Value) {
	switch s.kind {
	case reflect.Struct:
		for _, f := range s.fields {
			f.shape.deepen(v.Field(f.index))
		}
	case reflect.Array:
		for i := range v.Len() {
			s.elem.deepen(v.Index(i))
		}
	case reflect.Slice:
		if v.IsNil() {
			return
		}
		own := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(own, v)
		if s.elem != nil {
			for i := range own.Len() {
				s.elem.deepen(own.Index(i))
			}
		}
		v.Set(own)
	case reflect.Map:
		if v.IsNil() {
			return
		}
		own := reflect.MakeMapWithSize(v.Type(), v.Len())
		for it := v.MapRange(); it.Next(); {
			e := reflect.New(v.Type().Elem()).Elem()
			e.Set(it.Value())
			if s.elem != nil {
				s.elem.deepen(e)
			}
			own.SetMapIndex(it.Key(), e)
		}
		v.Set(own)
	}
}
