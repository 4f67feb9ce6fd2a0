package takeoff

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Each does n pieces of work that do not depend on each other, as many at once as
// there are processors, and takes up so many of them at a time: one, unless they are
// small.
func Each(n, share int, do func(i int)) {
	var next atomic.Int64
	var busy sync.WaitGroup
	for range min((n+share-1)/share, runtime.GOMAXPROCS(0)) {
		busy.Go(func() {
			for from := int(next.Add(int64(share))) - share; from < n; from = int(next.Add(int64(share))) - share {
				for i := from; i < min(n, from+share); i++ {
					do(i)
				}
			}
		})
	}
	busy.Wait()
}

// smallShare is how many pieces or stock tiles are taken up at a time.
const smallShare = 256
