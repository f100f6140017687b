package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

// Exit codes of a second signal, after the shell's rule 128 + its number.
const (
	exitInterrupt = 130
	exitTerminate = 143
)

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
		if <-came == syscall.SIGTERM {
			os.Exit(exitTerminate)
		}
		os.Exit(exitInterrupt)
	}()
	return ctx, cancel
}
