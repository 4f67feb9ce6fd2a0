package takeoff

import (
	"math/rand/v2"
	"reflect"
	"sync"
	"testing"
)

// A takeoff comes out the same with a memory of others as without one: jobs are
// counted, some of it is cut and some broken, and counted again.
func TestMemoryChangesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 11))
	var memory Memory
	nests := 0
	for n := range cases(3, 20) {
		in := realJob(t, rng, 1+rng.IntN(2), realPatterns)
		in.ReuseKept = n%2 == 0
		for round := range 3 {
			in.Memory = nil
			fresh := take(t, in)
			in.Memory = &memory
			for range 2 {
				got := take(t, in)
				if !reflect.DeepEqual(got.Stock, fresh.Stock) || !reflect.DeepEqual(got.Rows, fresh.Rows) || !reflect.DeepEqual(got.Offcuts(), fresh.Offcuts()) {
					t.Fatalf("case %d round %d: another takeoff with a memory", n, round)
				}
			}
			nests = max(nests, len(memory.nest))
			in.Kept = nil
			for _, s := range fresh.Stock {
				if rng.IntN(3) == 0 {
					in.Kept = append(in.Kept, s)
				}
			}
		}
	}
	if nests == 0 {
		t.Error("the memory keeps nothing")
	}
	for range memorySpan + 2 {
		memory.begin()
	}
	if len(memory.nest)+len(memory.left) > 0 {
		t.Errorf("%d nests are kept though nobody asks for them", len(memory.nest)+len(memory.left))
	}
}

// What holds for the whole takeoff makes every nest another one.
func TestMemoryTellsNestsApart(t *testing.T) {
	base := realJob(t, rand.New(rand.NewPCG(6, 12)), 1, realPatterns[:1])
	from := map[nestDigest]string{}
	for name, change := range map[string]func(in *TakeIn){
		"as it is": func(*TakeIn) {},
		"kerf":     func(in *TakeIn) { in.Kerf = 3 * mm },
		"steps":    func(in *TakeIn) { in.NestSteps = 777 },
		"smallest": func(in *TakeIn) { in.SmallestOffcut = 90 * mm },
	} {
		in := base
		in.Memory = &Memory{}
		change(&in)
		take(t, in)
		if len(in.Memory.nest) == 0 {
			t.Errorf("%s: nothing is kept", name)
		}
		for k := range in.Memory.nest {
			if other, ok := from[k]; ok {
				t.Errorf("%q and %q are taken for the same nest", other, name)
			}
			from[k] = name
		}
	}
}

func TestMemoryIsShared(t *testing.T) {
	in := realJob(t, rand.New(rand.NewPCG(6, 13)), 2, realPatterns)
	want := take(t, in)
	in.Memory = &Memory{}
	var busy sync.WaitGroup
	for range 4 {
		busy.Go(func() {
			if got := take(t, in); !reflect.DeepEqual(got.Stock, want.Stock) {
				t.Error("another takeoff beside others")
			}
		})
	}
	busy.Wait()
}
