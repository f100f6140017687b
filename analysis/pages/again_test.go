package pages

import (
	"testing"
	"unsafe"
)

// A slice given back comes again for whoever asks for as much or less. None comes
// to two at once, and none after a rest.
func TestAgain(t *testing.T) {
	a := NewAgain[uint64]()
	where := func(s []uint64) *uint64 { return unsafe.SliceData(s) }
	small, large := a.Take(100), a.Take(1000)
	if where(small) == where(large) {
		t.Fatal("the same memory for two")
	}
	a.Give(small)
	a.Give(large)
	if s := a.Take(500); where(s) != where(large) || len(s) != 500 {
		t.Errorf("%d of %d, want 500 of the large one", len(s), cap(s))
	}
	if s := a.Take(50); where(s) != where(small) || len(s) != 50 {
		t.Errorf("%d of %d, want 50 of the small one, which is left", len(s), cap(s))
	}
	if s := a.Take(50); where(s) == where(large) || where(s) == where(small) {
		t.Error("memory that somebody has was given to another")
	}
	a.Give(large)
	Rest()
	if s := a.Take(50); where(s) == where(large) {
		t.Error("kept over a rest")
	}
}

// No more is kept than was in use at once, however sizes change, and nothing that
// is very large.
func TestAgainKeepsNoMoreThanWasUsed(t *testing.T) {
	a := NewAgain[byte]()
	for n := range 100 {
		one, other := a.Take(1000+n), a.Take(2000-n)
		if len(one) != 1000+n || len(other) != 2000-n {
			t.Fatalf("round %d: %d and %d", n, len(one), len(other))
		}
		a.Give(one)
		a.Give(other)
		if len(a.kept) > 2 {
			t.Fatalf("round %d: %d kept of 2 in use", n, len(a.kept))
		}
	}
	a.forget()
	a.Give(make([]byte, mostKept+1))
	if len(a.kept) != 0 {
		t.Error("a very large one was kept")
	}
}
