package scheduler

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// each does n pieces of work that do not depend on each other, as many at once as
// there are processors.
func each(n int, do func(i int)) {
	var next atomic.Int64
	var busy sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		busy.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	busy.Wait()
}
