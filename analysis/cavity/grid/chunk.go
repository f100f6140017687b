package grid

import (
	"sync"

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
	var group sync.WaitGroup
	for w := range min(max(workers, 1), chunks(m)) {
		group.Go(func() {
			for k := w; k < chunks(m); k += max(workers, 1) {
				work(chunk{number: k, worker: w, first: k * perChunk, end: min((k+1)*perChunk, m.Triangles())})
			}
		})
	}
	group.Wait()
}
