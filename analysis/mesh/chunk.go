package mesh

import (
	"sync"
	"sync/atomic"
)

// perChunk is how many triangles are gone over at once by one worker.
const perChunk = 1 << 14

// Chunk is some triangles of a mesh, from First up to End. What is summed up
// chunk by chunk does not depend on how many workers there are.
type Chunk struct {
	Number, Worker int // both from 0
	First, End     int
}

// Chunks returns how many chunks the triangles of m make.
func (m *Mesh) Chunks() int { return (m.Triangles() + perChunk - 1) / perChunk }

// EachChunk calls work for each chunk of m on so many goroutines, the workers,
// at least one, and waits for them.
func (m *Mesh) EachChunk(workers int, work func(c Chunk)) {
	Share(m.Chunks(), workers, func(k, worker int) {
		work(Chunk{Number: k, Worker: worker, First: k * perChunk, End: min((k+1)*perChunk, m.Triangles())})
	})
}

// Share does the numbers 0 … n−1 on so many goroutines, the workers, at least
// one, each number as a worker becomes free, and waits for them.
func Share(n, workers int, work func(i, worker int)) {
	workers = min(max(workers, 1), n)
	if workers == 1 {
		for i := range n {
			work(i, 0)
		}
		return
	}
	var group sync.WaitGroup
	var next atomic.Int64
	for w := range workers {
		group.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				work(i, w)
			}
		})
	}
	group.Wait()
}
