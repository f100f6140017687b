package analysis

import "time"

// Lap is how long a stage of an examination took. It is for those who measure
// speed: nothing that is found depends on it.
type Lap struct {
	Stage string
	Took  time.Duration
}

// laps returns a function that ends a stage and begins the next.
func (a *Answer) laps() func(stage string) {
	began := time.Now()
	return func(stage string) {
		now := time.Now()
		a.Laps = append(a.Laps, Lap{stage, now.Sub(began)})
		began = now
	}
}
