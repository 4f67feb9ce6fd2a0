package store

import (
	"encoding/json"
	"fmt"
	"reflect"
)

// more returns as JSON the fields of v that its row does not bring back: back
// is what reading the row alone gives. So an attribute that has no column yet,
// or a list that is empty rather than absent, survives without being named
// here.
func more[T any](v, back T) ([]byte, error) {
	a, b := reflect.ValueOf(v), reflect.ValueOf(back)
	rest := map[string]any{}
	for i := range a.NumField() {
		if f := a.Type().Field(i); f.IsExported() && !reflect.DeepEqual(a.Field(i).Interface(), b.Field(i).Interface()) {
			rest[f.Name] = a.Field(i).Interface()
		}
	}
	text, err := json.Marshal(rest)
	if err != nil {
		return nil, fmt.Errorf("store a %s: %w", a.Type().Name(), err)
	}
	return text, nil
}

// andMore sets the fields that more kept.
func andMore[T any](v *T, text []byte) error {
	if len(text) <= 2 { // {}
		return nil
	}
	if err := json.Unmarshal(text, v); err != nil {
		return fmt.Errorf("read a %s: %w", reflect.TypeFor[T]().Name(), err)
	}
	return nil
}
