package plandoc_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"testing"

	"potlife/cmd/potlife/internal/onceprinted"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

// A document printed after another comes out as json.Marshal writes it, whatever
// has changed between the two.
func TestPrintIsMarshal(t *testing.T) {
	sound := randomDocument(t, 3)
	docs := []*plandoc.Document{sound, {}, plandoctest.Sample("imperial"), sound, again(t, sound)}
	for _, f := range slices.Concat(faults, spoilings) {
		d := again(t, sound)
		f.spoil(t, d)
		docs = append(docs, d)
	}
	shorter := again(t, sound)
	shorter.Stock, shorter.Areas, shorter.Surfaces[0].Openings, shorter.Summary = shorter.Stock[1:], nil, nil, []string{"<&> \u2028"}
	docs = append(docs, shorter, again(t, sound))
	var before *onceprinted.Text[plandoc.Document]
	for i, d := range docs {
		want, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		got, err := onceprinted.Print(d, before)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got.Bytes, want) {
			t.Fatalf("document %d is not printed as it is marshalled:\n%.300s\n%.300s", i, got.Bytes, want)
		}
		before = got
	}
}

func BenchmarkPrint(b *testing.B) {
	d := randomDocument(b, 3)
	first, err := onceprinted.Print(d, nil)
	if err != nil {
		b.Fatal(err)
	}
	for name, before := range map[string]*onceprinted.Text[plandoc.Document]{"afresh": nil, "after the same": first} {
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(first.Bytes)))
			for b.Loop() {
				if _, err := onceprinted.Print(d, before); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
