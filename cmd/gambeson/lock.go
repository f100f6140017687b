package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/adrg/xdg"
	"github.com/gofrs/flock"
)

// holder is who holds a folder, as the lock file says.
type holder struct {
	PID     int       `json:"pid"`
	Command string    `json:"command"` // watch, demo, check or loads
	Root    string    `json:"root"`
	Since   time.Time `json:"since"`
}

func (h holder) String() string {
	if h.PID == 0 {
		return "another gambeson"
	}
	return fmt.Sprintf("gambeson %s, process %d, since %s", h.Command, h.PID, h.Since.Format(time.DateTime))
}

// of names the folder that keeps root from being taken: root itself where it is
// not known.
func (h holder) of(root string) string {
	if h.Root == "" {
		return root
	}
	return h.Root
}

// errHeld says that another process holds the folder, or one that lies in it or
// in which it lies.
var errHeld = errors.New("the folder is held")

// hold is a lock on one folder. It lies outside the folder, in the XDG
// runtime folder (the state folder where there is none), and the kernel frees
// it when the process ends, however it ends.
type hold struct{ file *flock.Flock }

// take locks root for this process. Where another process holds it, the error
// is errHeld and the holder says who, as far as it can be read.
func take(root, command string) (*hold, holder, error) {
	path, err := lockPath(root)
	if err != nil {
		return nil, holder{}, err
	}
	lock := flock.New(path)
	got, err := tryLock(lock)
	if err != nil {
		return nil, holder{}, fmt.Errorf("cannot lock the folder: %w", err)
	}
	if !got {
		lock.Close()
		return nil, readHolder(path), errHeld
	}
	if by, found := overlapping(root, filepath.Dir(path)); found {
		lock.Close()
		return nil, by, errHeld
	}
	h := holder{PID: os.Getpid(), Command: command, Root: root, Since: time.Now().Truncate(time.Second)}
	text, err := json.Marshal(h)
	if err == nil {
		err = os.WriteFile(path, append(text, '\n'), 0o600)
	}
	if err != nil {
		lock.Close()
		return nil, holder{}, fmt.Errorf("cannot write the lock of the folder: %w", err)
	}
	return &hold{lock}, h, nil
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

// holding tells who holds a folder, or one that lies in it or in which it lies,
// without taking it.
func holding(root string) (by holder, held bool, err error) {
	path, err := lockPath(root)
	if err != nil {
		return holder{}, false, err
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
func overlapping(root, locks string) (holder, bool) {
	files, err := filepath.Glob(filepath.Join(locks, "*.lock"))
	if err != nil {
		return holder{}, false
	}
	own := realPath(root)
	for _, path := range files {
		h := readHolder(path)
		other := realPath(h.Root)
		if h.Root == "" || h.PID == os.Getpid() || other == own || !liesIn(own, other) && !liesIn(other, own) {
			continue
		}
		if isHeld(path) {
			return h, true
		}
	}
	return holder{}, false
}

// liesIn tells whether path is dir or lies below it.
func liesIn(dir, path string) bool {
	relative, err := filepath.Rel(dir, path)
	return err == nil && filepath.IsLocal(relative)
}

// realPath is the path without symbolic links, or the path itself where that
// cannot be told.
func realPath(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		return real
	}
	return path
}

// release frees the folder. The lock file stays, empty of meaning: removing
// it would race with the next holder.
func (h *hold) release() {
	if h != nil {
		h.file.Close()
	}
}

func readHolder(path string) holder {
	var h holder
	text, err := os.ReadFile(path)
	if err != nil || json.Unmarshal(text, &h) != nil {
		return holder{Command: "of unknown kind"}
	}
	return h
}

// lockPath names the lock of a folder by what the folder really is, so that
// two ways to it meet at one lock.
func lockPath(root string) (string, error) {
	dir := filepath.Join(xdg.RuntimeDir, "gambeson")
	if err := os.MkdirAll(dir, 0o700); err != nil {
		if dir, err = stateDir(); err != nil {
			return "", err
		}
	}
	return filepath.Join(dir, folderKey(root)+".lock"), nil
}

// stateDir returns the daemon's own folder, made where it was not there.
func stateDir() (string, error) {
	dir := filepath.Join(xdg.StateHome, "gambeson")
	if err := os.MkdirAll(dir, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return "", fmt.Errorf("cannot make the state folder: %w", err)
	}
	return dir, nil
}

// folderKey is a file name for a folder: equal for two ways to the same one.
func folderKey(root string) string {
	sum := sha256.Sum256([]byte(realPath(root)))
	return hex.EncodeToString(sum[:12])
}
