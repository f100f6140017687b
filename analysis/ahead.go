package analysis

import (
	"fmt"
	"runtime/debug"
	"sync"
)

// ahead begins work that nobody waits for yet, if now is true, and returns the
// function that waits for it and gives its answer, as often as it is asked. Else
// the work is done when its answer is first asked for. Where the work fails with
// a panic, whoever asks fails with it.
//
// settle waits until no work goes on. Whoever calls ahead must call it before
// returning.
func ahead[T any](now bool, work func() T) (answer func() T, settle func()) {
	if !now {
		return sync.OnceValue(work), func() {}
	}
	var out T
	var failed any
	done := make(chan struct{})
	go func() {
		defer close(done)
		defer func() {
			if r := recover(); r != nil {
				failed = fmt.Sprintf("%v\n%s", r, debug.Stack()) // the stack of who asks would not show where
			}
		}()
		out = work()
	}()
	answer = func() T {
		<-done
		if failed != nil {
			panic(failed)
		}
		return out
	}
	return answer, func() { <-done }
}
