package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"time"

	"gambeson/cmd/gambeson/machine"
	"gambeson/report/disk"
)

// suitReport is where the summary stands among the reports that could not be
// written.
const suitReport = "SUIT.md"

const (
	// writeAgain is the time between two tries to write what could not be
	// written: a disk that has room again is found within it.
	writeAgain = 30 * time.Second
	// longestRest is what that grows to where a try seems to go well and does
	// not.
	longestRest = time.Hour
	// suspectAgain is how long others go before a part on which the program
	// ended.
	suspectAgain = 10 * time.Second
)

// unwritten is a report that could not be written. What was found stays known.
type unwritten struct {
	why   error
	next  time.Time // no try before
	tries int
	bytesOf
}

// blocked tells that a part need not be looked into now: it is as it was when
// its report could not be written, and still none can be.
func (f *folder) blocked(part string) bool {
	u, failed := f.unwritten[part]
	now, _ := bytesAt(f.path(part))
	if !failed || now != u.bytesOf {
		return false
	}
	return time.Now().Before(u.next) || f.full(u) || disk.Writable(disk.Place{Root: f.root, Part: part}) != nil
}

// full tells that there is no room for a report: a guess, by the size of the
// part, whose bands and pieces are copies of some of it.
func (f *folder) full(u unwritten) bool {
	free, known := machine.FreeBytes(f.root)
	return known && free < 1<<20+u.Size
}

func (f *folder) path(part string) string { return filepath.Join(f.root, filepath.FromSlash(part)) }

// noteWritten takes note of which reports could not be written, and says so
// once. It returns when to try again, 0 where all were.
func (d *daemon) noteWritten(f *folder, done []outcome) (again time.Duration) {
	failed := map[string]error{}
	for _, o := range done {
		part := o.row.Place.Part
		failed[part] = errors.Join(failed[part], o.unwritten)
	}
	for part, why := range failed {
		if why == nil {
			delete(f.unwritten, part)
			continue
		}
		u := unwritten{why: why, tries: f.unwritten[part].tries + 1}
		u.bytesOf, _ = bytesAt(f.path(part))
		if u.tries > 1 {
			u.next = time.Now().Add(min(d.again<<min(u.tries-2, 20), longestRest))
		}
		f.unwritten[part] = u
		again = d.again
	}
	d.sayUnwritten(f)
	return again
}

// sayUnwritten says once for each reason that reports cannot be written, and
// when they can again. Where the whole folder is missing nothing is said: the
// watcher does.
func (d *daemon) sayUnwritten(f *folder) {
	if _, err := os.Stat(f.root); errors.Is(err, fs.ErrNotExist) {
		return
	}
	var now []concern
	for _, part := range slices.Sorted(maps.Keys(f.unwritten)) {
		c := concern{What: reason(f.unwritten[part].why), Stops: true}
		c.Text = "reports cannot be written: " + c.What
		if !slices.ContainsFunc(now, func(o concern) bool { return o.What == c.What }) {
			now = append(now, c)
		}
	}
	d.settle(f, reports, now, func(c concern) {
		e := d.log.Error().Str("event", "write_failed").Str("root", f.root).Str("reason", c.What)
		for _, part := range slices.Sorted(maps.Keys(f.unwritten)) {
			if why := f.unwritten[part].why; reason(why) == c.What {
				e.Str("file", part).AnErr("err", why)
				break
			}
		}
		if free, known := machine.FreeBytes(f.root); known {
			e.Int64("free_bytes", free)
		}
		e.Msg("reports cannot be written here; what was there before stays, and it is tried again")
	}, func(c concern) {
		d.log.Info().Str("event", "write_again").Str("root", f.root).Str("reason", c.What).Msg("reports can be written again")
	})
}

// reports is what a concern about reports as a whole is about.
const reports = "the reports"

// reason is what the system said, for all files alike, or else the whole error.
func reason(err error) string {
	var number syscall.Errno
	if errors.As(err, &number) {
		return number.Error()
	}
	return err.Error()
}

// digest tells texts apart without telling them.
func digest(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:6])
}

// sayUnwritten is what check says of a report that it could not write.
func (o outcome) sayUnwritten() string {
	return fmt.Sprintf("%s: its report could not be written: %v", o.row.Place.Name(), o.unwritten)
}
