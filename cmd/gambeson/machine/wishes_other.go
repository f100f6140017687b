//go:build !unix

package machine

import "os"

// Wishes is nothing on systems without SIGHUP and SIGUSR1.
func Wishes() (again, more <-chan os.Signal, forget func()) { return nil, nil, func() {} }
