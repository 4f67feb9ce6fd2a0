package takeoff

import (
	"context"
	"fmt"
	"testing"

	"potlife/rooms"
)

// BenchmarkTakeAndOrder takes off and orders n bathrooms of two walls each.
func BenchmarkTakeAndOrder(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		in := bathJob(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			pieces := 0
			for b.Loop() {
				got, err := Take(context.Background(), in)
				if err != nil {
					b.Fatal(err)
				}
				first := map[Use]rooms.Date{}
				for k := range got.Releases(in.Catalogue, in.Today, nil) {
					first[k] = in.Today.AddDays(30 + len(k.Room)%20)
				}
				got.Orders(in.Catalogue, in.Today, first, nil)
				pieces = len(got.Stock)
			}
			b.ReportMetric(float64(pieces), "tiles")
		})
	}
}
