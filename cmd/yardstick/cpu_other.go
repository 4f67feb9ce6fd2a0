//go:build !unix

package main

import "time"

var started = time.Now()

// cpuTime is the time by the clock where the system tells no processor time.
func cpuTime() time.Duration { return time.Since(started) }
