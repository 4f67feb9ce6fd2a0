package plandoc_test

import (
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

// A fault is found whether or not the document before was sound: what has changed
// is measured.
func TestCheckAfterMeasuresWhatChanged(t *testing.T) {
	before, after := plandoctest.Sample("metric"), plandoctest.Sample("metric")
	known := map[plandoc.Breach]bool{} // the sample is no sound plan: what it breaks itself is not asked for
	for _, b := range plandoc.Check(before) {
		known[b] = true
	}
	for i := range after.Surfaces {
		s := &after.Surfaces[i]
		if len(s.Zones) == 0 || len(s.Zones[0].Pieces) < 2 {
			continue
		}
		for k := range s.Zones[0].Pieces[1].Polygon.Outer {
			s.Zones[0].Pieces[1].Polygon.Outer[k][0] += 40
		}
	}
	later := map[plandoc.Breach]bool{}
	for _, b := range plandoc.CheckAfter(after, before) {
		later[b] = true
	}
	joints := 0
	for _, b := range plandoc.Check(after) {
		if known[b] {
			continue
		}
		if joints++; !later[b] {
			t.Errorf("missed: %s", b)
		}
	}
	if joints == 0 {
		t.Error("pieces moved by 40 mm break nothing: the test shows too little")
	}
}
