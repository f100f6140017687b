//go:build !linux

package speed

import "time"

// Other systems are not asked.

// ProcessorTime is what this process has used of the processors, 0 where the
// system does not tell.
func ProcessorTime() time.Duration { return 0 }

func forgetPeak() {}

func peakMemory() int { return 0 }
