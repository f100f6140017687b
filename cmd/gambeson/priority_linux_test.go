package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A daemon gives way to whoever works at the machine, with all its threads.
func TestDaemonGivesWay(t *testing.T) {
	if nicenessOfAll(t, os.Getpid())[0] != "0" {
		t.Skip("the test is nice itself: a daemon stays as it is begun")
	}
	command, _ := daemonIn(t, t.TempDir(), nil, t.TempDir())
	until(t, "all threads give way", func() bool {
		all := nicenessOfAll(t, command.Process.Pid)
		for _, one := range all {
			if one != "10" {
				return false
			}
		}
		return len(all) > 1
	})
}

// nicenessOfAll returns that of each thread of a process: field 19 of its stat
// (proc_pid_stat(5)), the 17th after the name in parentheses.
func nicenessOfAll(t *testing.T, pid int) (all []string) {
	t.Helper()
	threads, err := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/stat", pid))
	require.NoError(t, err)
	for _, thread := range threads {
		text, err := os.ReadFile(thread)
		if err != nil {
			continue // it has ended
		}
		_, rest, _ := strings.Cut(string(text), ") ")
		all = append(all, strings.Fields(rest)[16])
	}
	return all
}
