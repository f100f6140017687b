package speed

import (
	"runtime/debug"
	"runtime/metrics"
	"slices"
	"testing"
	"time"
)

// Stages measures what the stages of some work take, one after the other: time,
// what is allocated of the garbage-collected memory, and the most memory that the
// process had meanwhile, where the system tells. The zero Stages is not ready.
type Stages struct {
	names []string
	of    map[string]*stage
	began time.Time
	had   uint64
}

// stage is what all runs of a stage took, and the most that one had.
type stage struct {
	runs  int
	took  time.Duration
	bytes uint64
	peak  int
}

// NewStages returns stages of which none has begun.
func NewStages() *Stages { return &Stages{of: map[string]*stage{}} }

// Begin begins a stage. What earlier work left to be collected is given back
// first, so that the peak is that of the work at hand.
func (s *Stages) Begin() {
	debug.FreeOSMemory()
	s.next()
}

// End ends a stage, and begins the next.
func (s *Stages) End(name string) {
	took := time.Since(s.began)
	one := s.of[name]
	if one == nil {
		one = &stage{}
		s.of[name] = one
		s.names = append(s.names, name)
	}
	one.runs++
	one.took += took
	one.bytes += allocated() - s.had
	one.peak = max(one.peak, peakMemory())
	s.next()
}

func (s *Stages) next() {
	forgetPeak()
	s.had, s.began = allocated(), time.Now()
}

// Names returns the stages in the order in which they ended first.
func (s *Stages) Names() []string { return slices.Clone(s.names) }

// Report adds each stage to what a benchmark says: ms and MiB allocated of a run,
// and the peak in MiB.
func (s *Stages) Report(b *testing.B) {
	for name, one := range s.of {
		b.ReportMetric(1e3*one.took.Seconds()/float64(one.runs), name+"-ms")
		b.ReportMetric(float64(one.bytes)/float64(one.runs)/(1<<20), name+"-alloc-MiB")
		if one.peak > 0 {
			b.ReportMetric(float64(one.peak)/(1<<20), name+"-peak-MiB")
		}
	}
}

// allocated returns how many bytes of collected memory were ever allocated.
func allocated() uint64 {
	sample := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	metrics.Read(sample)
	return sample[0].Value.Uint64()
}
