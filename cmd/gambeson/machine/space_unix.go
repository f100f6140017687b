//go:build linux || darwin

package machine

import "golang.org/x/sys/unix"

// FreeBytes is how many bytes the disk that holds dir still takes from the
// person, false where that cannot be told.
func FreeBytes(dir string) (int64, bool) {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil {
		return 0, false
	}
	return int64(s.Bavail) * int64(s.Bsize), true
}
