package main

import (
	"context"
	"fmt"
	"runtime/debug"
	"time"
)

// meanwhile is what whoever waits for work does: one thing as often as they are asked
// to, another every so often. The zero value does nothing.
type meanwhile struct {
	asked <-chan struct{}
	do    func()
	often func() // nil for nothing
}

// oftenAfter is the time between two such times, and before the first: who drops a file
// and looks is not to wait longer (a guess).
const oftenAfter = time.Second

// leftBehind is how long work is waited for once nobody wants it any more.
const leftBehind = 500 * time.Millisecond

// aside does work that writes nothing, on a goroutine of its own, and leaves it
// behind where it does not end soon after ctx: a single step over a mesh of
// millions of facets can take longer than a person waits for a program to stop.
// It is the one goroutine that is not waited for: what it holds is its own. A
// fault of the program's own in work is an error. Until work ends or ctx does, what
// is to be done meanwhile is done here, by whoever called.
func aside[T any](ctx context.Context, m meanwhile, work func() (T, error)) (T, error) {
	type answer struct {
		of  T
		err error
	}
	done := make(chan answer, 1)
	go func() {
		var a answer
		defer func() {
			if r := recover(); r != nil {
				a.err = fmt.Errorf("%w: %v\n%s", errFailed, r, debug.Stack())
			}
			done <- a
		}()
		a.of, a.err = work()
	}()
	var often <-chan time.Time
	if m.often != nil {
		ticker := time.NewTicker(oftenAfter)
		defer ticker.Stop()
		often = ticker.C
	}
	for wanted := true; wanted; {
		select {
		case a := <-done:
			return a.of, a.err
		case <-m.asked:
			m.do()
		case <-often:
			m.often()
		case <-ctx.Done():
			wanted = false
		}
	}
	select {
	case a := <-done:
		return a.of, a.err
	case <-time.After(leftBehind):
		var none T
		return none, ctx.Err()
	}
}
