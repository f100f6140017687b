package main

import (
	"os"
	"strconv"

	"golang.org/x/sys/unix"
)

// polite is the niceness of a daemon: whoever works at the machine goes first.
const polite = 10

// giveWay lets every other program go first, unless the person said how nice it
// is to be. Linux keeps the niceness of each thread; new ones have that of the
// thread that begins them. What fails leaves things as they were.
func giveWay() {
	if now, err := unix.Getpriority(unix.PRIO_PROCESS, 0); err != nil || now != 20 { // 20 − niceness, getpriority(2)
		return
	}
	threads, err := os.ReadDir("/proc/self/task")
	if err != nil {
		return
	}
	for _, thread := range threads {
		if id, err := strconv.Atoi(thread.Name()); err == nil {
			_ = unix.Setpriority(unix.PRIO_PROCESS, id, polite)
		}
	}
}
