package machine

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"gambeson/cmd/gambeson/store"

	"golang.org/x/sys/unix"
)

// Memory is how many bytes of memory the program may have: those of the
// machine, or what the service manager or a container leaves of them
// (cgroup v2, kernel documentation cgroup-v2.rst), or the limit of the process.
// 0 where that cannot be told.
func Memory() int64 {
	most := int64(0)
	least := func(n int64) {
		if n > 0 && (most == 0 || n < most) {
			most = n
		}
	}
	var machine unix.Sysinfo_t
	if unix.Sysinfo(&machine) == nil {
		least(int64(machine.Totalram) * int64(machine.Unit))
	}
	var space unix.Rlimit
	if unix.Getrlimit(unix.RLIMIT_AS, &space) == nil && space.Cur < 1<<62 {
		least(int64(space.Cur))
	}
	least(groupMemory("/sys/fs/cgroup"))
	return most
}

// groupMemory is the least limit of the program's control group and of those
// above it.
func groupMemory(top string) (most int64) {
	text, err := os.ReadFile("/proc/self/cgroup")
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(text)) {
		group, ok := strings.CutPrefix(strings.TrimSpace(line), "0::")
		if !ok {
			continue
		}
		for dir := filepath.Join(top, group); store.LiesIn(top, dir); dir = filepath.Dir(dir) {
			for _, name := range []string{"memory.max", "memory.high"} {
				limit, err := os.ReadFile(filepath.Join(dir, name))
				if err != nil {
					continue
				}
				n, err := strconv.ParseInt(strings.TrimSpace(string(limit)), 10, 64)
				if err == nil && n > 0 && (most == 0 || n < most) {
					most = n
				}
			}
		}
	}
	return most
}
