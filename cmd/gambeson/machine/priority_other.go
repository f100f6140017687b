//go:build !linux

package machine

// GiveWay does nothing where the niceness of a running program is not known how
// to be changed for all its threads.
func GiveWay() {}
