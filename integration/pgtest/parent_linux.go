package pgtest

import "syscall"

// withParent makes the server end when the test binary does, however that ends.
func withParent() *syscall.SysProcAttr { return &syscall.SysProcAttr{Pdeathsig: syscall.SIGINT} }
