package app

import (
	"encoding/json"
	"reflect"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
)

// The document kept when a plan is saved is the one that would be read back.
func TestTheDocumentKeptIsTheOneReadBack(t *testing.T) {
	monday := rooms.Date{Year: 2027, Month: 1, Day: 18}
	f := demoFirm(t, "inches", monday.AddDays(-14), monday)
	info, kept, err := f.current(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	text, err := f.o.Store.Document(t.Context(), info.ID)
	if err != nil {
		t.Fatal(err)
	}
	var read plandoc.Document
	if err := json.Unmarshal(text, &read); err != nil {
		t.Fatal(err)
	}
	a, b := reflect.ValueOf(*kept), reflect.ValueOf(read)
	for i := range a.NumField() {
		if !reflect.DeepEqual(a.Field(i).Interface(), b.Field(i).Interface()) {
			t.Errorf("%s differs once it is read back", a.Type().Field(i).Name)
		}
	}
}
