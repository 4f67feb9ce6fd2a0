//go:build unix

package main

import (
	"syscall"
	"time"
)

// cpuTime is the processor time this process has used so far, the collector's share included: unlike the clock it does
// not count what other programs take of a busy machine.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
