package pages

import (
	"testing"

	"golang.org/x/sys/unix"
)

// off tells whether the system keeps large pages from this program.
func off() bool {
	got, _, _ := unix.Syscall6(unix.SYS_PRCTL, unix.PR_GET_THP_DISABLE, 0, 0, 0, 0, 0)
	return got == 1
}

// A program at rest is given no large pages, until it wants some.
func TestRestEndsWithTheNextSlice(t *testing.T) {
	if err := unix.Prctl(unix.PR_SET_THP_DISABLE, 0, 0, 0, 0); err != nil {
		t.Skip("this system does not say how large its pages are:", err)
	}
	kept := Make[byte](least)
	if off() {
		t.Fatal("at rest before it was asked to")
	}
	for range 2 {
		Rest()
		if !off() {
			t.Fatal("not at rest")
		}
		Make[byte](least - 1) // too small to matter
		if !off() {
			t.Fatal("a small slice ended the rest")
		}
		Make[byte](least)
		if off() {
			t.Fatal("still at rest")
		}
	}
	for i, b := range kept {
		if b != 0 {
			t.Fatalf("byte %d of a slice in use is %d", i, b)
		}
	}
}
