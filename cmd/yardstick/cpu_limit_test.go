package main

import (
	"testing"
	"time"
)

func TestCPULimitEndsAfterThatMuchWork(t *testing.T) {
	const limit = 0.05
	start := cpuTime()
	ctx, cancel := withCPULimit(limit)
	defer cancel()
	for n := 0; ctx.Err() == nil; n++ {
	}
	if used := cpuTime() - start; used < time.Duration(limit*float64(time.Second)) {
		t.Errorf("ended after %v of work, the limit is %g s", used, limit)
	}
}

func TestCPULimitEndsWithCancel(t *testing.T) {
	ctx, cancel := withCPULimit(3600)
	if ctx.Err() != nil {
		t.Fatal("ended at once")
	}
	cancel() // would hang where the watch did not end
	if ctx.Err() == nil {
		t.Error("goes on after cancel")
	}
}
