package heap

import (
	"runtime"
	"runtime/debug"
	"testing"
	"time"
)

func TestPercentOf(t *testing.T) {
	const mb = 1 << 20
	for _, c := range []struct {
		least, live uint64
		want        int
	}{
		{96 * mb, 0, 1000},
		{96 * mb, 1 * mb, 1000},
		{96 * mb, 24 * mb, 400},
		{96 * mb, 96 * mb, 100},
		{96 * mb, 500 * mb, 100},
	} {
		if got := percentOf(c.least, c.live); got != c.want {
			t.Errorf("percentOf(%d, %d) = %d, want %d", c.least, c.live, got, c.want)
		}
	}
}

// The growth follows what is live: wide while little is, Go's own once much is.
func TestGrowFollowsWhatIsLive(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(100))
	t.Setenv("GOGC", "")
	Grow(32 << 20)
	if got := now(); got <= 100 {
		t.Fatalf("a small heap may grow by %d %%, want more than 100", got)
	}
	much := make([]byte, 64<<20)
	settle(t, 100)
	runtime.KeepAlive(much)
	much = nil
	settle(t, mostPercent)
}

// settle collects garbage until the growth is what is wanted.
func settle(t *testing.T, want int) {
	t.Helper()
	for range 200 {
		runtime.GC()
		time.Sleep(5 * time.Millisecond) // finalizers run beside
		if now() == want {
			return
		}
	}
	t.Fatalf("the growth is %d %%, want %d", now(), want)
}

// now is the growth that is set.
func now() int {
	p := debug.SetGCPercent(100)
	debug.SetGCPercent(p)
	return p
}

func TestGrowLeavesWhatIsGiven(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(77))
	t.Setenv("GOGC", "77")
	Grow(1 << 30)
	if got := now(); got != 77 {
		t.Errorf("the growth is %d %%, want the 77 given", got)
	}
}
