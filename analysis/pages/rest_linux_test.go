package pages

import (
	"os"
	"regexp"
	"runtime"
	"strconv"
	"testing"
	"unsafe"

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

// resident returns how many bytes of memory the system counts as this program's
// own.
func resident(t *testing.T) int {
	t.Helper()
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`RssAnon:\s*(\d+) kB`).FindSubmatch(status)
	if found == nil {
		t.Skip("this system does not say how much memory is in use")
	}
	kb, err := strconv.Atoi(string(found[1]))
	if err != nil {
		t.Fatal(err)
	}
	return kb << 10
}

// After a rest little more is resident than what is in use, also of the pages
// beside slices that were never taken.
func TestRestLeavesNoGaps(t *testing.T) {
	if underRace {
		t.Skip("what is resident is the race detector's")
	}
	// Slices far apart, and what lies between given back before it was touched.
	var kept, between [][]byte
	for range 40 {
		kept = append(kept, make([]byte, least))
		between = append(between, make([]byte, large-least))
	}
	runtime.KeepAlive(between)
	between = nil
	Rest()
	Make[byte](least) // ends the rest
	for _, s := range kept {
		advise(uintptr(unsafe.Pointer(unsafe.SliceData(s))), least)
		for i := range s {
			s[i] = 1
		}
	}
	Rest()
	var now runtime.MemStats
	runtime.ReadMemStats(&now)
	inUse := int(now.HeapInuse + now.StackInuse + now.MSpanSys + now.GCSys + now.OtherSys + now.BuckHashSys)
	if got := resident(t); got > inUse+4<<20 {
		t.Errorf("%d bytes are resident of %d in use", got, inUse)
	}
	runtime.KeepAlive(kept)
}
