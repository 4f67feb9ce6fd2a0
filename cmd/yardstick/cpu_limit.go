package main

import (
	"context"
	"time"
)

// cpuPoll is how often a limit of processor time is looked at.
const cpuPoll = 5 * time.Millisecond

// withCPULimit gives a context that ends once this process has used so many more seconds of processor time: a limit by the
// clock would make answers worse where other programs keep the machine busy. The engines only see a context, so they need
// no clock. Whoever asks for it must call the cancel function, which waits for the watch to end.
func withCPULimit(seconds float64) (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(context.Background())
	end := cpuTime() + time.Duration(seconds*float64(time.Second))
	done := make(chan struct{})
	go func() {
		defer close(done)
		tick := time.NewTicker(cpuPoll)
		defer tick.Stop()
		for cpuTime() < end {
			select {
			case <-ctx.Done():
				return
			case <-tick.C:
			}
		}
		cancel()
	}()
	return ctx, func() { cancel(); <-done }
}
