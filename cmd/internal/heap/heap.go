// Package heap says how often the programs collect garbage.
package heap

import (
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
)

// Bounds of the growth, in per cent of what is live, after which garbage is
// collected. The least is what Go does by itself.
const (
	leastPercent = 100
	mostPercent  = 1000
)

// ForPlans is what the heap may grow by beside plans: the garbage of about two replans
// of forty rooms.
const ForPlans = 96 << 20

// Grow lets the heap grow by what is live in it, and by at least so many bytes, before
// garbage is collected. A plan made again makes some ten times the garbage that a small
// firm's plans take up, and would be stopped for it several times. The variables GOGC
// and GOMEMLIMIT outweigh it.
func Grow(least uint64) {
	if os.Getenv("GOGC") != "" {
		return
	}
	g := &growth{least: least, percent: leastPercent, live: []metrics.Sample{{Name: "/gc/heap/live:bytes"}}}
	g.adapt()
	g.afterNext()
}

// growth follows what is live from collection to collection.
type growth struct {
	least   uint64
	percent int
	live    []metrics.Sample
}

// afterNext lets growth adapt when garbage is collected next: that frees the mark, which
// nothing refers to.
func (g *growth) afterNext() {
	type mark struct{ _ [16]byte }
	runtime.SetFinalizer(&mark{}, func(*mark) {
		g.adapt()
		g.afterNext()
	})
}

func (g *growth) adapt() {
	metrics.Read(g.live)
	if g.live[0].Value.Kind() != metrics.KindUint64 {
		return
	}
	next := percentOf(g.least, g.live[0].Value.Uint64())
	if d := next - g.percent; d*10 < g.percent && -d*10 < g.percent { // to change it stops all work for a moment
		return
	}
	g.percent = next
	debug.SetGCPercent(next)
}

// percentOf is the growth that lets so many bytes be added to what is live.
func percentOf(least, live uint64) int {
	if live == 0 {
		return mostPercent
	}
	return int(min(max(least*100/live, leastPercent), mostPercent))
}
