//go:build unix

package mesh

import "syscall"

// doNotWait keeps open from waiting for the other end of a named pipe that
// took the place of a file.
const doNotWait = syscall.O_NONBLOCK
