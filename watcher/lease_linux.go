package watcher

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"golang.org/x/sys/unix"
)

// askLease asks the kernel for a read lease on a file and gives it back at
// once. It is refused while any process has the file open, or mapped, for
// writing: fcntl(2), F_SETLEASE. It takes some 20 µs; a program that opens
// the file for writing in that moment waits as long (one that asks not to
// wait is told to try again). A lease says nothing where files are changed
// from other machines, and needs the file to be ours: then unknown.
func askLease(path string) lease {
	fd, err := unix.Open(path, unix.O_RDONLY|unix.O_NONBLOCK|unix.O_NOCTTY|unix.O_CLOEXEC, 0)
	if err != nil {
		return unknown
	}
	defer unix.Close(fd)
	var st unix.Statfs_t
	if unix.Fstatfs(fd, &st) != nil || silentType(uint32(st.Type)) != "" {
		return unknown
	}
	_, err = unix.FcntlInt(uintptr(fd), unix.F_SETLEASE, unix.F_RDLCK)
	switch {
	case errors.Is(err, unix.EAGAIN):
		return taken
	case err != nil:
		return unknown
	}
	_, _ = unix.FcntlInt(uintptr(fd), unix.F_SETLEASE, unix.F_UNLCK) // else closing gives it back
	return free
}

// silentType names a file system that does not announce what is changed from
// elsewhere, by its number in statfs(2) and linux/magic.h; empty for others.
func silentType(magic uint32) string {
	switch magic {
	case unix.NFS_SUPER_MAGIC:
		return "NFS"
	case unix.SMB_SUPER_MAGIC, unix.CIFS_SUPER_MAGIC, unix.SMB2_SUPER_MAGIC:
		return "SMB"
	case unix.FUSE_SUPER_MAGIC:
		return "FUSE"
	case unix.V9FS_MAGIC:
		return "9p"
	case unix.AFS_SUPER_MAGIC, unix.AFS_FS_MAGIC:
		return "AFS"
	case unix.CODA_SUPER_MAGIC:
		return "Coda"
	case unix.CEPH_SUPER_MAGIC:
		return "Ceph"
	case 0x786f4256: // fs/vboxsf/super.c
		return "a virtual machine's shared folder"
	}
	return ""
}

// fsType names the file system of a folder, if it is one that announces
// nothing.
func fsType(path string) (name string, silent bool) {
	var st unix.Statfs_t
	if unix.Statfs(path, &st) != nil {
		return "", false
	}
	name = silentType(uint32(st.Type))
	return name, name != ""
}

// limitCure says how to get as many watches as folders, with the limits as they
// are.
func limitCure(folders int) string {
	return fmt.Sprintf("%d watches are needed, and what other programs have: raise fs.inotify.max_user_watches (now %s) and max_user_instances (now %s), e.g.: sudo sysctl fs.inotify.max_user_watches=%d fs.inotify.max_user_instances=1024",
		folders, limit("max_user_watches"), limit("max_user_instances"), max(524_288, 2*folders))
}

func limit(name string) string {
	text, err := os.ReadFile("/proc/sys/fs/inotify/" + name)
	if err != nil {
		return "unknown"
	}
	return strings.TrimSpace(string(text))
}
