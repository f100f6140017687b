package pages

import (
	"slices"
	"sync"
	"unsafe"
)

// Again keeps slices that are used no more for those who need one of the kind,
// until the program rests: memory that it has had before costs nothing, where new
// memory may take longer than the work that is done in it. It keeps no more of
// them than were in use at once.
type Again[T any] struct {
	lock sync.Mutex
	kept [][]T
}

// mostKept is the size in bytes above which a slice is left to the garbage
// collector: a part of millions of triangles should not be felt when it is done.
const mostKept = 16 << 20

// NewAgain returns an Again that keeps nothing yet. It lives as long as the
// program.
func NewAgain[T any]() *Again[T] {
	a := &Again[T]{}
	forgets.Lock()
	defer forgets.Unlock()
	forgets.all = append(forgets.all, a.forget)
	return a
}

// Take returns a slice of n, with anything in it.
func (a *Again[T]) Take(n int) []T {
	a.lock.Lock()
	defer a.lock.Unlock()
	largest := -1
	for i, s := range a.kept {
		if largest < 0 || cap(s) > cap(a.kept[largest]) {
			largest = i
		}
	}
	if largest < 0 {
		return Full[T](n)
	}
	s := a.kept[largest]
	a.kept = slices.Delete(a.kept, largest, largest+1)
	if cap(s) < n {
		return Full[T](n) // in its place
	}
	return s[:n]
}

// Give takes a slice back: nobody else may use it from now on.
func (a *Again[T]) Give(s []T) {
	if uintptr(cap(s))*unsafe.Sizeof(*new(T)) > mostKept {
		return
	}
	a.lock.Lock()
	defer a.lock.Unlock()
	a.kept = append(a.kept, s)
}

func (a *Again[T]) forget() {
	a.lock.Lock()
	defer a.lock.Unlock()
	a.kept = nil
}

// forgets has what makes each Again keep nothing.
var forgets struct {
	sync.Mutex
	all []func()
}

func forget() {
	forgets.Lock()
	defer forgets.Unlock()
	for _, f := range forgets.all {
		f()
	}
}
