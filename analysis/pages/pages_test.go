package pages

import (
	"runtime"
	"runtime/debug"
	"testing"
)

// Slices on large pages are slices: as long as asked for, of zeros even where
// their memory was used before, and their neighbours keep what they hold.
func TestSlicesAreSlices(t *testing.T) {
	type place struct{ x, y, z float32 }
	var neighbours [][]uint32
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
			neighbour := make([]uint32, n/2)
			for i := range neighbour {
				neighbour[i] = uint32(i * len(neighbour))
			}
			neighbours = append(neighbours, neighbour)
		}
		runtime.GC()
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
