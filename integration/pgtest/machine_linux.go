package pgtest

import "syscall"

// withParent makes the server end when the test binary does, however that ends.
func withParent() *syscall.SysProcAttr { return &syscall.SysProcAttr{Pdeathsig: syscall.SIGINT} }

// roomyMemory is a file system in memory, where making a database takes a tenth
// of the time; "" where there is none with a GiB to spare, or where the time to
// be measured is the disk's.
func roomyMemory() string {
	const shm = "/dev/shm"
	var fs syscall.Statfs_t
	if forgetful() && syscall.Statfs(shm, &fs) == nil && fs.Bavail*uint64(fs.Bsize) >= 1<<30 {
		return shm
	}
	return ""
}
