//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package watcher

import "golang.org/x/sys/unix"

// stampAt is the stamp of a regular file; link tells that a symbolic link is
// there instead.
func stampAt(path string) (s Stamp, link bool, err error) {
	var st unix.Stat_t
	if err := unix.Lstat(path, &st); err != nil {
		return Stamp{}, false, err
	}
	switch st.Mode & unix.S_IFMT {
	case unix.S_IFREG:
		return Stamp{Size: st.Size, Mtime: st.Mtim.Nano(), Ctime: st.Ctim.Nano(), Inode: st.Ino}, false, nil
	case unix.S_IFLNK:
		return Stamp{}, true, nil
	}
	return Stamp{}, false, errOther
}

// identify tells which folder is at path; follow allows that a symbolic link
// leads there.
func identify(path string, follow bool) (identity, error) {
	var st unix.Stat_t
	stat := unix.Lstat
	if follow {
		stat = unix.Stat
	}
	if err := stat(path, &st); err != nil {
		return identity{}, err
	}
	if st.Mode&unix.S_IFMT != unix.S_IFDIR {
		return identity{}, unix.ENOTDIR
	}
	return identity{device: uint64(st.Dev), inode: st.Ino}, nil
}
