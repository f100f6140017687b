//go:build unix

package machine

import (
	"os"
	"os/signal"
	"syscall"
)

// Wishes returns what the person may ask a daemon for while it runs: to look
// through everything again (SIGHUP), and to log more, or less again (SIGUSR1).
// forget ends that.
//
// A reader of the log that goes away (SIGPIPE) does not end a daemon.
func Wishes() (again, more <-chan os.Signal, forget func()) {
	signal.Ignore(syscall.SIGPIPE)
	hup, usr := make(chan os.Signal, 1), make(chan os.Signal, 1)
	signal.Notify(hup, syscall.SIGHUP)
	signal.Notify(usr, syscall.SIGUSR1)
	return hup, usr, func() {
		signal.Stop(hup)
		signal.Stop(usr)
	}
}
