package rooms

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestNatural(t *testing.T) {
	want := []string{"", "7", "07a", "8", "10", "apt1", "apt1/bath", "apt2", "apt02/bath", "apt9", "apt10", "apt11/bath", "apt11/hall", "apt99999999999999999999", "apt100000000000000000000", "b"}
	got := slices.Clone(want)
	r := rand.New(rand.NewPCG(1, 2))
	for range 100 {
		r.Shuffle(len(got), func(i, j int) { got[i], got[j] = got[j], got[i] })
		if got = InOrder(got); !slices.Equal(got, want) {
			t.Fatalf("in order: %q", got)
		}
	}
	for _, a := range want {
		for _, b := range want {
			if Natural(a, b) != -Natural(b, a) || (Natural(a, b) == 0) != (a == b) {
				t.Errorf("%q and %q: %d and %d", a, b, Natural(a, b), Natural(b, a))
			}
		}
	}
	if Natural("apt01", "apt1") == 0 || Natural("apt01", "apt1") != -Natural("apt1", "apt01") {
		t.Error("leading zeros make no difference, or not the same both ways")
	}
}
