package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	"time"
)

// Exit codes of a second signal, after the shell's rule 128 + its number.
const (
	exitInterrupt = 130
	exitTerminate = 143
)

// stopWithin is how long the program may take to stop once it was asked to.
// After that it ends as it is: nothing of ours is half-written at any moment,
// and what lies beside is swept at the next start.
const stopWithin = 1500 * time.Millisecond

// signals returns a context that ends at the first SIGINT or SIGTERM; a
// second one ends the program at once.
func signals(parent context.Context) (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(parent)
	came := make(chan os.Signal, 2)
	signal.Notify(came, os.Interrupt, syscall.SIGTERM)
	go func() {
		select {
		case <-came:
			cancel()
		case <-ctx.Done():
			return
		}
		select {
		case <-time.After(stopWithin):
			os.Exit(exitWell)
		case again := <-came:
			if again == syscall.SIGTERM {
				os.Exit(exitTerminate)
			}
			os.Exit(exitInterrupt)
		}
	}()
	return ctx, cancel
}
