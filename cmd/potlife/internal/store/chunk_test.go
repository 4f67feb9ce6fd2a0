package store

import (
	"bytes"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
)

// A part cut after another is the part cut by itself, whatever was changed, and
// where.
func TestPartAfterAnother(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	some := func(n int) []byte {
		out := make([]byte, n)
		for i := range out {
			out[i] = "0123456789,"[rng.IntN(11)]
		}
		return out
	}
	text := some(400_000)
	copy(text[100_000:], bytes.Repeat([]byte{'0'}, 150_000)) // chunks that end only because they are full
	for n := range 60 {
		from := rng.IntN(len(text) + 1)
		to := min(len(text), from+rng.IntN(20_000)*rng.IntN(2))
		changed := slices.Concat(text[:from], some(rng.IntN(9_000)*rng.IntN(2)), text[to:])
		if n%10 == 9 {
			changed = changed[:rng.IntN(len(changed)+1)] // the end falls into a chunk
		}
		for _, p := range [][2][]byte{{text, changed}, {changed, text}, {text, text}, {nil, text}, {text, nil}} {
			old := newPart("p", p[0], nil)
			if got, want := newPart("p", p[1], &old), newPart("p", p[1], nil); !reflect.DeepEqual(got, want) {
				t.Fatalf("change %d: %d chunks after another, %d by themselves", n, len(got.chunks), len(want.chunks))
			}
		}
	}
}
