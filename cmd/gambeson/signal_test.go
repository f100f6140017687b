package main

import (
	"encoding/json"
	"os"
	"path/filepath"

	"github.com/rogpeppe/go-internal/testscript"
)

// signalTo kills the process that holds a folder, by SIGKILL: what a power cut
// or the system itself would do.
func signalTo(ts *testscript.TestScript, args []string) {
	locks, err := filepath.Glob(filepath.Join(ts.Getenv("XDG_RUNTIME_DIR"), "gambeson", "*.lock"))
	ts.Check(err)
	for _, l := range locks {
		var h holder
		text, err := os.ReadFile(l)
		ts.Check(err)
		ts.Check(json.Unmarshal(text, &h))
		p, err := os.FindProcess(h.PID)
		ts.Check(err)
		ts.Check(p.Kill())
	}
}
