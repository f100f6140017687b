//go:build unix

package main

import (
	"fmt"
	"io"
	"os"
	"syscall"
)

// journalled reports whether w is a stream to the system's journal, as the
// service manager says by device and inode (systemd.exec(5), JOURNAL_STREAM).
func journalled(w io.Writer) bool {
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
