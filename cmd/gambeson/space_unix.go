//go:build linux || darwin

package main

import "golang.org/x/sys/unix"

// freeBytes is how many bytes the disk that holds dir still takes from the
// person, false where that cannot be told.
func freeBytes(dir string) (int64, bool) {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil {
		return 0, false
	}
	return int64(s.Bavail) * int64(s.Bsize), true
}
