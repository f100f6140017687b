package machine

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Threads that others begin before these give way give way as well.
func TestThreadsBegunMeanwhileGiveWay(t *testing.T) {
	is := map[int]int{1: 0, 2: 0, 3: 0}
	list := func() []int { return slices.Sorted(maps.Keys(is)) }
	next := 4
	makeNice(list, func(thread int) int { return is[thread] }, func(thread int) {
		if thread <= 6 { // it begins one just before
			is[next] = is[thread]
			next++
		}
		is[thread] = polite
	})
	require.Len(t, is, 9)
	for thread, niceness := range is {
		require.Equal(t, polite, niceness, "thread %d", thread)
	}
	asked := 0
	makeNice(list, func(int) int { asked++; return 0 }, func(int) {})
	require.Less(t, asked, 10_000, "some refuse")
}
