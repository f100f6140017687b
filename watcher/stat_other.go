//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package watcher

import (
	"io/fs"
	"os"
	"syscall"
)

// stampAt is the stamp of a regular file; link tells that a symbolic link is
// there instead. Ctime and Inode are 0.
func stampAt(path string) (s Stamp, link bool, err error) {
	st, err := os.Lstat(path)
	switch {
	case err != nil:
		return Stamp{}, false, err
	case st.Mode()&fs.ModeSymlink != 0:
		return Stamp{}, true, nil
	case !st.Mode().IsRegular():
		return Stamp{}, false, errOther
	}
	return Stamp{Size: st.Size(), Mtime: st.ModTime().UnixNano()}, false, nil
}

// identify tells whether a folder is at path, but not which: the identity is
// zero. follow allows that a symbolic link leads there.
func identify(path string, follow bool) (identity, error) {
	stat := os.Lstat
	if follow {
		stat = os.Stat
	}
	st, err := stat(path)
	if err == nil && !st.IsDir() {
		err = syscall.ENOTDIR
	}
	return identity{}, err
}
