//go:build !unix

package main

import "os"

// wishes is nothing on systems without SIGHUP and SIGUSR1.
func wishes() (again, more <-chan os.Signal, forget func()) { return nil, nil, func() {} }
