//go:build unix

package machine

import (
	"fmt"
	"io"
	"os"
	"syscall"
)

// Journalled reports whether w is a stream to the system's journal, as the
// service manager says by device and inode (systemd.exec(5), JOURNAL_STREAM).
func Journalled(w io.Writer) bool {
	f, ok := w.(*os.File)
	said := os.Getenv("JOURNAL_STREAM")
	if !ok || said == "" {
		return false
	}
	info, err := f.Stat()
	if err != nil {
		return false
	}
	s, ok := info.Sys().(*syscall.Stat_t)
	return ok && said == fmt.Sprintf("%d:%d", s.Dev, s.Ino)
}
