package machine

import (
	"os"
	"strconv"

	"golang.org/x/sys/unix"
)

// polite is the niceness of a daemon: whoever works at the machine goes first.
const polite = 10

// GiveWay lets every other program go first, unless the person said how nice it
// is to be. Linux keeps the niceness of each thread; new ones have that of the
// thread that begins them. What fails leaves things as they were.
func GiveWay() {
	if niceness(0) == 0 {
		makeNice(threads, niceness, func(thread int) { _ = unix.Setpriority(unix.PRIO_PROCESS, thread, polite) })
	}
}

// makeNice makes all threads as nice as polite. One may begin another before it is
// made so, which no list has that was read earlier: the list is read until all on
// it were nice already, a few times at most since some may refuse.
func makeNice(list func() []int, is func(thread int) int, set func(thread int)) {
	const rounds = 100
	for range rounds {
		before := true
		for _, thread := range list() {
			if is(thread) != polite {
				before = false
				set(thread)
			}
		}
		if before {
			return
		}
	}
}

// niceness returns that of a thread, 0 for the one that asks; −1 where the system
// does not tell.
func niceness(thread int) int {
	p, err := unix.Getpriority(unix.PRIO_PROCESS, thread)
	if err != nil {
		return -1
	}
	return 20 - p // getpriority(2)
}

// threads lists those of this program.
func threads() (all []int) {
	entries, _ := os.ReadDir("/proc/self/task")
	for _, e := range entries {
		if id, err := strconv.Atoi(e.Name()); err == nil {
			all = append(all, id)
		}
	}
	return all
}
