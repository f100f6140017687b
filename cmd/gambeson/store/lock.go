package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/adrg/xdg"
	"github.com/gofrs/flock"
)

// Holder is who holds a folder, as the lock file says.
type Holder struct {
	PID     int       `json:"pid"`
	Command string    `json:"command"` // watch, demo, check or loads
	Root    string    `json:"root"`
	Since   time.Time `json:"since"`
}

func (h Holder) String() string {
	if h.PID == 0 {
		return "another gambeson"
	}
	return fmt.Sprintf("gambeson %s, process %d, since %s", h.Command, h.PID, h.Since.Format(time.DateTime))
}

// Of names the folder that keeps root from being taken: root itself where it is
// not known.
func (h Holder) Of(root string) string {
	if h.Root == "" {
		return root
	}
	return h.Root
}

// ErrHeld says that another process holds the folder, or one that lies in it or
// in which it lies.
var ErrHeld = errors.New("the folder is held")

// Hold is a lock on one folder. It lies outside the folder, in the XDG
// runtime folder (the state folder where there is none), and the kernel frees
// it when the process ends, however it ends.
type Hold struct{ file *flock.Flock }

// Take locks root for this process. Where another process holds it, the error
// is ErrHeld and the holder says who, as far as it can be read.
func Take(root, command string) (*Hold, Holder, error) {
	path, err := lockPath(root)
	if err != nil {
		return nil, Holder{}, err
	}
	lock := flock.New(path)
	got, err := tryLock(lock)
	if err != nil {
		return nil, Holder{}, fmt.Errorf("cannot lock the folder: %w", err)
	}
	if !got {
		lock.Close()
		return nil, readHolder(path), ErrHeld
	}
	if by, found := overlapping(root, filepath.Dir(path)); found {
		lock.Close()
		return nil, by, ErrHeld
	}
	h := Holder{PID: os.Getpid(), Command: command, Root: root, Since: time.Now().Truncate(time.Second)}
	text, err := json.Marshal(h)
	if err == nil {
		err = os.WriteFile(path, append(text, '\n'), 0o600)
	}
	if err != nil {
		lock.Close()
		return nil, Holder{}, fmt.Errorf("cannot write the lock of the folder: %w", err)
	}
	return &Hold{lock}, h, nil
}

// tryLock tries a few times in a tenth of a second: who only asks whether a
// folder is held has its lock for a moment.
func tryLock(lock *flock.Flock) (bool, error) {
	for range 5 {
		if got, err := lock.TryLock(); got || err != nil {
			return got, err
		}
		time.Sleep(20 * time.Millisecond)
	}
	return false, nil
}

// Holding tells who holds a folder, or one that lies in it or in which it lies,
// without taking it.
func Holding(root string) (by Holder, held bool, err error) {
	path, err := lockPath(root)
	if err != nil {
		return Holder{}, false, err
	}
	if isHeld(path) {
		return readHolder(path), true, nil
	}
	by, held = overlapping(root, filepath.Dir(path))
	return by, held, nil
}

func isHeld(path string) bool {
	if _, err := os.Stat(path); err != nil {
		return false
	}
	lock := flock.New(path)
	got, err := lock.TryRLock()
	lock.Close()
	return err == nil && !got
}

// overlapping finds another process that holds a folder which lies in root, or
// in which root lies. Of two that begin in the same moment both may find the
// other.
func overlapping(root, locks string) (Holder, bool) {
	files, err := filepath.Glob(filepath.Join(locks, "*.lock"))
	if err != nil {
		return Holder{}, false
	}
	own := RealPath(root)
	for _, path := range files {
		h := readHolder(path)
		other := RealPath(h.Root)
		if h.Root == "" || h.PID == os.Getpid() || other == own || !LiesIn(own, other) && !LiesIn(other, own) {
			continue
		}
		if isHeld(path) {
			return h, true
		}
	}
	return Holder{}, false
}

// Release frees the folder. The lock file stays, empty of meaning: removing
// it would race with the next holder.
func (h *Hold) Release() {
	if h != nil {
		h.file.Close()
	}
}

func readHolder(path string) Holder {
	var h Holder
	text, err := os.ReadFile(path)
	if err != nil || json.Unmarshal(text, &h) != nil {
		return Holder{Command: "of unknown kind"}
	}
	return h
}

// lockPath names the lock of a folder by what the folder really is, so that
// two ways to it meet at one lock.
func lockPath(root string) (string, error) {
	dir := filepath.Join(xdg.RuntimeDir, "gambeson")
	if err := os.MkdirAll(dir, 0o700); err != nil {
		if dir, err = Dir(); err != nil {
			return "", err
		}
	}
	return filepath.Join(dir, Key(root)+".lock"), nil
}
