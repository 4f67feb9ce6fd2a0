package sheet

import (
	"bytes"
	"encoding/json"
	"io"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

// TestDamagedDocumentsAreErrorsNotPanics takes parts out of the sample at
// random. What is printed then may be an error or a sheet with gaps, but the
// printer must come back.
func TestDamagedDocumentsAreErrorsNotPanics(t *testing.T) {
	whole, err := json.Marshal(plandoctest.Sample("metric"))
	if err != nil {
		t.Fatal(err)
	}
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 7))
		var tree any
		if err := json.Unmarshal(whole, &tree); err != nil {
			t.Fatal(err)
		}
		b, err := json.Marshal(damage(r, tree))
		if err != nil {
			t.Fatal(err)
		}
		doc := &plandoc.Document{}
		if err := json.Unmarshal(b, doc); err != nil {
			t.Fatal(err)
		}
		printAll(t, seed, doc)
	}
}

func printAll(t *testing.T, seed uint64, doc *plandoc.Document) {
	defer func() {
		if p := recover(); p != nil {
			t.Errorf("seed %d: %v", seed, p)
		}
	}()
	var p Printer
	printed := 0
	for i := range doc.Sheets {
		formats := []string{"json", "csv", "html", "pdf"}
		if i > 0 {
			formats = formats[:3]
		}
		for _, format := range formats {
			var b bytes.Buffer
			if p.DayFile(&b, doc, i, plandoc.Mark{}, format) == nil {
				printed++
			}
			if format == "html" && (strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf")) {
				t.Errorf("seed %d: a drawing with figures that are none", seed)
			}
		}
	}
	for _, s := range doc.Surfaces {
		if b, err := p.Surface(doc, s.Key); err == nil && (bytes.Contains(b, []byte("NaN")) || bytes.Contains(b, []byte("Inf"))) {
			t.Errorf("seed %d: surface %s is drawn with figures that are none", seed, s.Key)
		}
	}
	for _, o := range doc.Orders {
		_ = p.OrderFile(io.Discard, doc, &o, plandoc.OrderMark{}, "pdf")
		_ = p.OrderFile(io.Discard, doc, &o, plandoc.OrderMark{}, "xlsx")
	}
	for _, c := range doc.Crews {
		_ = p.CrewCalendar(io.Discard, doc, c.Key, 1, time.Time{})
	}
	if printed == 0 && len(doc.Sheets) == 4 && doc.Sheets[0].Date != "" {
		t.Errorf("seed %d: nothing could be printed", seed)
	}
}

// damage empties one in sixty of the lists, objects and texts of a tree.
func damage(r *rand.Rand, v any) any {
	hit := r.IntN(60) == 0
	switch v := v.(type) {
	case map[string]any:
		for _, k := range slices.Sorted(maps.Keys(v)) {
			v[k] = damage(r, v[k])
		}
		return v
	case []any:
		if hit {
			return nil
		}
		for i := range v {
			v[i] = damage(r, v[i])
		}
		return v
	case string:
		if hit {
			return ""
		}
	}
	return v
}
