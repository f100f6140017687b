//go:build unix

package report

import (
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"strings"
	"syscall"
	"testing"

	"gambeson/report/paper"
	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

// writeOnAFullDisk is the child of the test below.
func writeOnAFullDisk(root string) error {
	signal.Ignore(syscall.SIGXFSZ)
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 1500, Max: 1500}); err != nil {
		return err
	}
	p, d := version(root, 1)
	err := Write(p, d)
	if err == nil || strings.Count(err.Error(), "back-plate.obj.html") != 1 || !strings.Contains(err.Error(), "file too large") {
		return fmt.Errorf("got error %v", err)
	}
	return nil
}

// A full disk leaves the old report as it was and nothing else behind. It is
// played by a limit on the size of files in a child: the write ends half-way
// with EFBIG as it would with ENOSPC.
func TestAFullDiskLeavesTheOldReport(t *testing.T) {
	root := sample.Folder(t)
	p, d := version(root, 0)
	require.NoError(t, Write(p, d))
	before := sample.ReadFile(t, root, p.Report())
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), "GAMBESON_FULL_DISK="+root)
	if out, err := child.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if got := sample.ReadFile(t, root, p.Report()); got != before {
		t.Error("the old report was harmed")
	}
	if got, ok := paper.Fingerprint(p); ok {
		t.Errorf("fingerprint %q stands though the run was not finished", got)
	}
	for name := range sample.Files(t, root) {
		if strings.HasSuffix(name, ".tmp") {
			t.Errorf("%s is left behind", name)
		}
	}
	p, d = version(root, 1)
	require.NoError(t, Write(p, d)) // there is room again
	if got, _ := paper.Fingerprint(p); got != d.Fingerprint {
		t.Errorf("fingerprint after recovery is %q", got)
	}
}
