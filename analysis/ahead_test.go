package analysis

import (
	"strings"
	"sync/atomic"
	"testing"
)

// What was begun ahead is done once, whoever asks and whenever, and not at all
// where it was put off and nobody asks; a failure meets whoever asks, and says
// where it was.
func TestAhead(t *testing.T) {
	for _, now := range []bool{false, true} {
		var done atomic.Int32
		answer, settle := ahead(now, func() int { return int(done.Add(1)) })
		settle()
		if got := done.Load() == 1; got != now {
			t.Errorf("now %v: done %d times when settled", now, done.Load())
		}
		if a, b := answer(), answer(); a != 1 || b != 1 || done.Load() != 1 {
			t.Errorf("now %v: answers %d and %d, done %d times", now, a, b, done.Load())
		}
		fails, settle := ahead(now, func() int { return []int{}[done.Load()] })
		settle()
		for range 2 {
			says := failure(fails)
			if !strings.Contains(says, "out of range") || now && !strings.Contains(says, "ahead_test.go") {
				t.Errorf("now %v: failed with %q", now, says)
			}
		}
	}
}

// failure returns what work panics with.
func failure(work func() int) (says string) {
	defer func() {
		switch r := recover().(type) {
		case error:
			says = r.Error()
		case string:
			says = r
		}
	}()
	work()
	return ""
}
