// Package pages makes room for large slices on large pages of memory.
//
// Memory that a program uses for the first time comes page by page, and each
// page costs the system some time: a tenth of a microsecond on plain
// hardware, a hundred times that in some virtual machines, where the pages of
// 4 KiB that 100 MB take cost more than all the work that is done in them.
// Systems that know pages of 2 MiB hand those out 500 times more rarely, where
// they are asked to.
//
// The slices are ordinary ones, which the garbage collector gives back.
package pages

import (
	"reflect"
	"runtime"
	"runtime/debug"
	"strings"
	"sync/atomic"
	"unsafe"
)

// least is the size in bytes from which on a slice is worth a call of the
// system, which takes about a microsecond.
const least = 128 << 10

// Make returns a slice of n zeros.
func Make[T any](n int) []T {
	s := make([]T, n)
	enlarge(s)
	return s
}

// Room returns an empty slice with room for n.
func Room[T any](n int) []T { return Full[T](n)[:0] }

// Full returns a slice of n with anything in it, for those who write each before it
// is read: what memory held before need not be cleared first, which takes a tenth of
// the time of some work in it.
func Full[T any](n int) []T {
	size := uintptr(n) * unsafe.Sizeof(*new(T))
	if size < least || !plain(reflect.TypeFor[T]()) {
		return Make[T](n)
	}
	var room strings.Builder // of which alone the runtime does not clear the room
	room.Grow(int(size))
	room.WriteByte(0)
	// Nothing else is ever written to it, and it holds no pointers.
	s := unsafe.Slice((*T)(unsafe.Pointer(unsafe.StringData(room.String()))), n)
	enlarge(s)
	return s
}

// plain reports whether values of a type hold no pointers, which the garbage
// collector would have to find.
func plain(t reflect.Type) bool {
	switch kind := t.Kind(); kind {
	case reflect.Array:
		return plain(t.Elem())
	case reflect.Struct:
		for i := range t.NumField() {
			if !plain(t.Field(i).Type) {
				return false
			}
		}
		return true
	default:
		return reflect.Bool <= kind && kind <= reflect.Complex128 && kind != reflect.Uintptr
	}
}

// enlarge asks for large pages for a slice that is worth it.
func enlarge[T any](s []T) {
	if size := uintptr(len(s)) * unsafe.Sizeof(*new(T)); size >= least {
		if resting.CompareAndSwap(true, false) {
			allow(true)
		}
		advise(uintptr(unsafe.Pointer(unsafe.SliceData(s))), size)
	}
}

var resting atomic.Bool

// Rest gives the memory that is not in use back to the system, and keeps it from
// coming back by itself: a system that puts small pages together in the
// background also fills the gaps in between, which took half as much again in an
// idle program as it had in use. The next large slice ends the rest.
func Rest() {
	if resting.CompareAndSwap(false, true) {
		allow(false)
	}
	forget()
	runtime.GC() // what pools keep is only given up at the second collection
	debug.FreeOSMemory()
	takeGaps()
	debug.FreeOSMemory()
}

// takeGaps takes all memory that the runtime has free, without touching it, and
// lets go of it. A large page holds what lies beside its slice too: the runtime
// takes that for given back already, and would not give it back otherwise.
func takeGaps() {
	const gap = 64 << 10 // a guess: holes that are smaller hold little
	var now runtime.MemStats
	runtime.ReadMemStats(&now)
	gaps := make([]strings.Builder, now.HeapIdle/gap) // the only ones whose room is not cleared
	for i := range gaps {
		gaps[i].Grow(gap)
	}
	runtime.KeepAlive(gaps)
}
