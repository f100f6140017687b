package analysis

import (
	"context"
	"time"
)

// Lap is how long a stage of an examination took. It is for those who measure
// speed: nothing that is found depends on it.
type Lap struct {
	Stage string
	Took  time.Duration
}

// watchedKey is the key under which a context keeps who is told of stages.
type watchedKey struct{}

// Watched returns a context in which Examine tells of each stage that has ended,
// on its own goroutine. It is for those who measure what a stage uses.
func Watched(ctx context.Context, ended func(stage string)) context.Context {
	return context.WithValue(ctx, watchedKey{}, ended)
}

// laps returns a function that ends a stage and begins the next.
func (a *Answer) laps(ctx context.Context) func(stage string) {
	ended, _ := ctx.Value(watchedKey{}).(func(stage string))
	began := time.Now()
	return func(stage string) {
		a.Laps = append(a.Laps, Lap{stage, time.Since(began)})
		if ended != nil {
			ended(stage)
		}
		began = time.Now()
	}
}
