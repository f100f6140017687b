package pages

import (
	"reflect"
	"runtime"
	"runtime/debug"
	"testing"
	"unsafe"
)

// Slices on large pages are slices: as long as asked for, of zeros even where
// their memory was used before, and their neighbours keep what they hold.
func TestSlicesAreSlices(t *testing.T) {
	type place struct{ x, y, z float32 }
	var neighbours [][]uint32
	var kept [][]*place
	for round := range 4 {
		for _, n := range []int{0, 1, 1000, least / 12, least, 1 << 20} {
			s := Make[place](n)
			if len(s) != n {
				t.Fatalf("round %d: %d of %d", round, len(s), n)
			}
			for i := range s {
				if s[i] != (place{}) {
					t.Fatalf("round %d: %d of %d is %v", round, i, n, s[i])
				}
				s[i] = place{1, 2, 3}
			}
			if r := Room[uint64](n); len(r) != 0 || cap(r) != n {
				t.Fatalf("room for %d of %d, %d taken", cap(r), n, len(r))
			}
			full := Full[place](n)
			if len(full) != n || cap(full) != n {
				t.Fatalf("round %d: %d of %d, room for %d", round, len(full), n, cap(full))
			}
			for i := range full {
				full[i] = place{4, 5, 6}
			}
			pointers := Full[*place](n) // would be followed by the garbage collector
			for i := range pointers {
				if pointers[i] != nil {
					t.Fatalf("round %d: pointer %d of %d is %v", round, i, n, pointers[i])
				}
				pointers[i] = &place{7, 8, float32(i)}
			}
			kept = append(kept, pointers)
			neighbour := make([]uint32, n/2)
			for i := range neighbour {
				neighbour[i] = uint32(i * len(neighbour))
			}
			neighbours = append(neighbours, neighbour)
		}
		runtime.GC()
		for _, pointers := range kept {
			for i, got := range pointers {
				if *got != (place{7, 8, float32(i)}) {
					t.Fatalf("round %d: what pointer %d shows to is lost: %v", round, i, *got)
				}
			}
		}
		for _, neighbour := range neighbours {
			for i, got := range neighbour {
				if want := uint32(i * len(neighbour)); got != want {
					t.Fatalf("round %d: a neighbour holds %d, want %d", round, got, want)
				}
			}
		}
	}
}

// BenchmarkTouch takes 64 MB that the system has back and writes to each page
// of 4 KiB. The small pages come first: memory once asked to be large stays so.
func BenchmarkTouch(b *testing.B) {
	const size = 64 << 20
	for _, c := range []struct {
		name string
		take func(int) []byte
	}{
		{"small", func(n int) []byte { return make([]byte, n) }},
		{"large", Make[byte]},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(size)
			for b.Loop() {
				s := c.take(size)
				for i := 0; i < size; i += 4096 {
					s[i] = 1
				}
				b.StopTimer()
				debug.FreeOSMemory()
				b.StartTimer()
			}
		})
	}
}

// What holds pointers in any way is not plain.
func TestPlain(t *testing.T) {
	for of, want := range map[reflect.Type]bool{
		reflect.TypeFor[uint8](): true, reflect.TypeFor[float64](): true, reflect.TypeFor[[8]uint32](): true,
		reflect.TypeFor[struct{ x, y [3]float32 }](): true, reflect.TypeFor[bool](): true, reflect.TypeFor[complex128](): true,
		reflect.TypeFor[*int](): false, reflect.TypeFor[string](): false, reflect.TypeFor[[]int](): false, reflect.TypeFor[any](): false,
		reflect.TypeFor[map[int]int](): false, reflect.TypeFor[func()](): false, reflect.TypeFor[chan int](): false,
		reflect.TypeFor[struct {
			x int
			s [2]string
		}](): false, reflect.TypeFor[unsafe.Pointer](): false,
	} {
		if got := plain(of); got != want {
			t.Errorf("%v: plain %v, want %v", of, got, want)
		}
	}
}
