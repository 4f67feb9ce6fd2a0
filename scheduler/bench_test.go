package scheduler

import (
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// many is an invented firm's input of n bathrooms in several jobs.
func many(t testing.TB, n int) Input {
	r := rand.New(rand.NewPCG(uint64(n), 3))
	in := Input{Firm: firm(zone(t, "Europe/Berlin")), Today: day("2026-03-16")}
	in.Firm.Limits = Limits{}
	for n > 0 {
		k := min(n, 8)
		in.Jobs = append(in.Jobs, job("job"+string(rune('a'+len(in.Jobs)%26))+string(rune('a'+len(in.Jobs)/26)), k, day("2026-03-20"), r))
		n -= k
	}
	for i := range in.Jobs {
		for s := range in.Jobs[i].Sites {
			for k := range in.Jobs[i].Sites[s].Rooms {
				in.Jobs[i].Sites[s].Rooms[k].Due = rooms.Date{}
			}
		}
	}
	return in
}

func BenchmarkSixBathrooms(b *testing.B) {
	in := small(b, 11, 6)
	in.Firm.Limits = Limits{}
	for b.Loop() {
		if _, err := Make(context.Background(), in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReplanFortyRooms(b *testing.B) {
	in := many(b, 40)
	in.Memory = &takeoff.Memory{}
	p, err := Make(context.Background(), in)
	if err != nil {
		b.Fatal(err)
	}
	next, d := frozenAfter(in, p, 4)
	next.Placed = p.Orders
	frozen := d.AddDays(1).In(in.Firm.Zone)
	var open []string // surfaces of which nothing is set
	for _, l := range p.Layouts {
		if !slices.ContainsFunc(p.Areas, func(a Area) bool {
			return a.Start < int(frozen.Sub(p.Epoch).Minutes()) && slices.Contains(a.Surfaces, l.Surface)
		}) {
			open = append(open, l.Surface)
		}
	}
	for i := 0; b.Loop(); i++ { // each time another reading has come in
		next.Records = []Record{{Kind: "reading", At: frozen, Surface: open[i*7%len(open)],
			Reading: rooms.Reading{Deviation: -rooms.Length(1+i%5) * rooms.Millimetre}}}
		if _, err := Make(context.Background(), next); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTwoHundredRooms(b *testing.B) {
	in := many(b, 200)
	for i := range in.Firm.Catalogue.Products { // one of the rooms takes one setter longer than a fortnight to cover
		in.Firm.Catalogue.Products[i].Sheet.CoverWithin *= 2
	}
	for b.Loop() {
		if _, err := Make(context.Background(), in); err != nil {
			b.Fatal(err)
		}
	}
}

// One of the rooms takes one setter longer than a fortnight to cover: what is measured
// is how soon that is said.
func BenchmarkImpossibleTwoHundredRooms(b *testing.B) {
	in := many(b, 200)
	for b.Loop() {
		var not *Infeasible
		if _, err := Make(context.Background(), in); !errors.As(err, &not) {
			b.Fatalf("got %v, want an Infeasible", err)
		}
	}
}

func BenchmarkSimulateFortyRooms(b *testing.B) {
	p, err := Make(context.Background(), many(b, 40))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		Simulate(p, Uncertainty{Seed: 1})
	}
}
