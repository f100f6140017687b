package speed

import (
	"bytes"
	"fmt"
	"os"
	"syscall"
	"time"
)

// ProcessorTime is what this process has used of the processors, 0 where the
// system does not tell.
func ProcessorTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// forgetPeak makes peakMemory begin anew (proc(5), clear_refs). Where this is
// not allowed the peak is that since the start.
func forgetPeak() { _ = os.WriteFile("/proc/self/clear_refs", []byte("5"), 0) }

// peakMemory returns the most memory in bytes that the process had.
func peakMemory() int {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	_, rest, _ := bytes.Cut(status, []byte("VmHWM:"))
	var kB int
	fmt.Sscan(string(rest), &kB)
	return kB << 10
}
