package grid

import (
	"sync"
	"sync/atomic"

	"gambeson/analysis/mesh"
)

// perChunk is how many triangles are gone over at once by one worker. What is
// summed up chunk by chunk does not depend on how many workers there are.
const perChunk = 1 << 14

// chunk is some triangles of a mesh, from first up to end.
type chunk struct {
	number, worker int
	first, end     int
}

// chunks returns how many chunks the triangles of m make.
func chunks(m *mesh.Mesh) int { return (m.Triangles() + perChunk - 1) / perChunk }

// eachChunk calls work for each chunk of m on so many goroutines, the workers,
// and waits for them.
func eachChunk(m *mesh.Mesh, workers int, work func(c chunk)) {
	share(chunks(m), max(workers, 1), func(k, worker int) {
		work(chunk{number: k, worker: worker, first: k * perChunk, end: min((k+1)*perChunk, m.Triangles())})
	})
}

// share does the numbers 0 … n−1 on the workers, each as one becomes free, and
// waits for them.
func share(n, workers int, work func(i, worker int)) {
	var group sync.WaitGroup
	var next atomic.Int64
	for w := range min(workers, n) {
		group.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				work(i, w)
			}
		})
	}
	group.Wait()
}
