package pages

import "golang.org/x/sys/unix"

// large is the size of a large page in bytes: 2 MiB on amd64, and on arm64
// with small pages of 4 KiB. Where it is another, less is asked for.
const large = 2 << 20

// advise asks for large pages from the one that holds the byte at start to
// the one that holds the last of size bytes. It changes no content and may be
// asked for memory that is already in use, so the neighbours of the slice on
// these pages see nothing of it. Where the system does not know large pages
// all stays as it was: hence no error.
func advise(start, size uintptr) {
	end := (start + size + large - 1) &^ (large - 1)
	start &^= large - 1
	_, _, _ = unix.Syscall(unix.SYS_MADVISE, start, end-start, unix.MADV_HUGEPAGE)
}

// allow says whether the program is to have large pages at all. Systems before
// Linux 3.15 do not know the question, and all stays as it was.
func allow(large bool) {
	var off uintptr
	if !large {
		off = 1
	}
	_ = unix.Prctl(unix.PR_SET_THP_DISABLE, off, 0, 0, 0)
}
