//go:build !linux

package pages

// advise does nothing on systems that choose the size of pages themselves.
func advise(start, size uintptr) {}

// allow does nothing there either.
func allow(large bool) {}
