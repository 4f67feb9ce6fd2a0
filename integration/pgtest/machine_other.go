//go:build !linux

package pgtest

import "syscall"

func withParent() *syscall.SysProcAttr { return &syscall.SysProcAttr{} }

func roomyMemory() string { return "" }
