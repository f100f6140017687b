package disk

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"unicode/utf8"
)

// Folder writes into one suit folder and nowhere else: os.Root refuses every
// way out of it, also through symbolic links. Names are relative to it, with
// slashes.
//
// (google/renameio would do the rename, but neither stays within a root nor
// leaves a file alone whose content is the same.)
type Folder struct {
	root *os.Root
	// loose: what is written may be lost when the power fails, as it can be made
	// again and nothing of the person's is in it.
	loose bool
}

// Open opens a suit folder for writing. Close it in the end.
func Open(root string) (Folder, error) {
	r, err := os.OpenRoot(root)
	if err != nil {
		return Folder{}, Failed(root, "cannot be opened", err)
	}
	return Folder{root: r}, nil
}

// Close lets go of the folder.
func (d Folder) Close() { d.root.Close() }

// Loosely is the folder for what can be made again: a power cut may lose it.
func (d Folder) Loosely() Folder { return Folder{d.root, true} }

// largestReport is more than any report or findings file can have: 64 MiB.
// Beyond it a file is not read into memory.
const largestReport = 64 << 20

// patience is how often a report is composed again when the person saves it
// at the very moment it is written.
const patience = 5

// Write makes name hold data. See Rewrite.
func (d Folder) Write(name string, data []byte) error {
	if data == nil {
		data = []byte{}
	}
	return d.Rewrite(name, func([]byte) ([]byte, error) { return data, nil })
}

// Rewrite makes name hold what compose makes of its present content, nil
// where there is none; where compose returns nil it is left as it is. At every moment the file is wholly the old or wholly
// the new one; equal content is not written at all. When the file changes
// between the reading and the renaming it is composed again.
func (d Folder) Rewrite(name string, compose func(old []byte) ([]byte, error)) error {
	for range patience {
		old, before, err := d.Read(name)
		if err != nil {
			return err
		}
		data, err := compose(old)
		if err != nil {
			return err
		}
		if data == nil || before != nil && bytes.Equal(old, data) {
			return nil
		}
		done, err := d.replace(name, data, before)
		if done || err != nil {
			return err
		}
	}
	return fmt.Errorf("%s: is changed again and again while it is written", Shown(name))
}

// Read returns the content of a plain file and what it looked like before it
// was read; nil and nil where there is none. Links, pipes and folders are
// refused: they are not ours.
func (d Folder) Read(name string) ([]byte, fs.FileInfo, error) {
	before, err := d.root.Lstat(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, Failed(name, "cannot be read", err)
	}
	if !before.Mode().IsRegular() {
		return nil, nil, fmt.Errorf("%s: is not a plain file; move it away", Shown(name))
	}
	if before.Size() > largestReport {
		return nil, nil, fmt.Errorf("%s: is too large for a report (%d bytes); move it away", Shown(name), before.Size())
	}
	data, err := d.root.ReadFile(name)
	if err != nil {
		return nil, nil, Failed(name, "cannot be read", err)
	}
	return data, before, nil
}

// replace puts data in name's place by way of a temporary file beside it,
// unless name no longer looks as it did before: then nothing is done.
func (d Folder) replace(name string, data []byte, before fs.FileInfo) (done bool, err error) {
	if err := d.makeFolder(path.Dir(name)); err != nil {
		return false, err
	}
	dir, err := d.root.OpenRoot(path.Dir(name))
	if err != nil {
		return false, Failed(name, "cannot be written", err)
	}
	defer dir.Close()
	// By its handle the folder is reached also where it was moved meanwhile.
	base, temp := path.Base(name), tempStart+rand.Text()+tempEnd
	defer func() {
		if !done {
			err = errors.Join(err, Folder{root: dir}.Remove(temp))
		}
	}()
	if err := (Folder{dir, d.loose}).fill(temp, data, before); err != nil {
		return false, Failed(name, "cannot be written", err)
	}
	now, err := dir.Lstat(base)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return false, Failed(name, "cannot be written", err)
	}
	if !same(before, now) {
		return false, nil
	}
	if err := d.leadsTo(path.Dir(name), dir); err != nil {
		return false, Failed(name, "cannot be written", err)
	}
	if err := dir.Rename(temp, base); err != nil {
		return false, Failed(name, "cannot be written", err)
	}
	if err := (Folder{dir, d.loose}).sync("."); err != nil {
		return true, Failed(name, "was written, but may not be safe on the disk yet", err)
	}
	return true, nil
}

// leadsTo returns an error where a folder was moved or deleted since it was
// opened.
func (d Folder) leadsTo(name string, opened *os.Root) error {
	now, err := d.root.Stat(name)
	if err != nil {
		return err
	}
	then, err := opened.Stat(".")
	if err == nil && !os.SameFile(now, then) {
		err = fs.ErrNotExist
	}
	return err
}

// fill writes a new file through to the disk, with the permissions of the one
// it will replace.
func (d Folder) fill(name string, data []byte, like fs.FileInfo) error {
	f, err := d.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil && like != nil {
		err = f.Chmod(like.Mode().Perm())
	}
	if err == nil && !d.loose {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// same reports whether a file was left alone between two looks at it.
func same(a, b fs.FileInfo) bool {
	if a == nil || b == nil {
		return a == nil && b == nil
	}
	return a.Size() == b.Size() && a.ModTime().Equal(b.ModTime()) && os.SameFile(a, b)
}

// sync makes a rename in a folder last. Where folders cannot be synced
// (Windows; some network file systems say EINVAL) there is nothing to do.
func (d Folder) sync(name string) error {
	if runtime.GOOS == "windows" || d.loose {
		return nil
	}
	f, err := d.root.Open(name)
	if err != nil {
		return err
	}
	err = f.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, errors.ErrUnsupported) {
		err = nil
	}
	return errors.Join(err, f.Close())
}

// makeFolder makes a folder of ours, and none of the person's: where theirs is
// gone, so is the part. Where a link or a file stands in the way, nothing is
// written through it.
func (d Folder) makeFolder(name string) error {
	for at := range len(name) + 1 {
		if at < len(name) && name[at] != '/' || !Ours(name[:at]) {
			continue
		}
		info, err := d.root.Lstat(name[:at])
		if errors.Is(err, fs.ErrNotExist) {
			if err = d.root.Mkdir(name[:at], 0o777); err == nil {
				err = d.sync(path.Dir(name[:at]))
			}
		}
		if err != nil && !errors.Is(err, fs.ErrExist) {
			return Failed(name[:at], "cannot be made", err)
		}
		if info != nil && !info.IsDir() {
			return fmt.Errorf("%s: is not a folder; move it away", Shown(name[:at]))
		}
	}
	return nil
}

// Remove deletes a file of ours; one that is gone already is no error.
func (d Folder) Remove(name string) error {
	if err := d.root.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Failed(name, "cannot be removed", err)
	}
	return nil
}

// Head returns the first bytes of a plain file, nil where there is none.
func (d Folder) Head(name string, n int64) []byte {
	if info, err := d.root.Lstat(name); err != nil || !info.Mode().IsRegular() {
		return nil
	}
	f, err := d.root.Open(name)
	if err != nil {
		return nil
	}
	defer f.Close()
	data, _ := io.ReadAll(io.LimitReader(f, n)) // what can be read is looked at
	return data
}

// List returns the names in a folder, sorted; none where it cannot be read.
func (d Folder) List(name string) []string {
	entries, err := fs.ReadDir(d.root.FS(), name)
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// Writable returns nil where a file can be made beside the part, else why not.
// It leaves nothing behind.
func Writable(p Place) error {
	d, err := Open(p.Root)
	if err != nil {
		return err
	}
	defer d.Close()
	temp := path.Join(path.Dir(p.Part), tempStart+rand.Text()+tempEnd)
	err = d.fill(temp, make([]byte, 64<<10), nil)
	return errors.Join(err, d.Remove(temp))
}

// Sweep removes the temporary files that a killed run left below root. Call
// it while nobody else writes there. It goes on past what it cannot remove
// and returns all such errors, joined.
func Sweep(root string) error {
	d, err := Open(root)
	if err != nil {
		return err
	}
	defer d.Close()
	var errs []error
	err = filepath.WalkDir(root, func(name string, e fs.DirEntry, err error) error {
		if err != nil || !e.Type().IsRegular() || !temporary(e.Name()) {
			return nil // a folder that cannot be read holds nothing we wrote
		}
		rel, err := filepath.Rel(root, name)
		if err == nil {
			err = d.Remove(filepath.ToSlash(rel))
		}
		errs = append(errs, err)
		return nil
	})
	return errors.Join(append(errs, err)...)
}

// temporary reports whether a name is exactly what replace gives: rand.Text
// is 26 characters of base 32.
func temporary(name string) bool {
	text, ok := strings.CutPrefix(name, tempStart)
	text, end := strings.CutSuffix(text, tempEnd)
	return ok && end && len(text) == 26 && strings.Trim(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567") == ""
}

// Failed says what could not be done with which file, once: the system's own
// error repeats the path.
func Failed(name, what string, err error) error {
	var p *fs.PathError
	var l *os.LinkError
	switch {
	case errors.As(err, &p):
		err = p.Err
	case errors.As(err, &l):
		err = l.Err
	}
	return fmt.Errorf("%s: %s: %w", Shown(name), what, err)
}

// Shown returns a file name as it is where it can be printed, else quoted.
func Shown(name string) string {
	if utf8.ValidString(name) && strings.IndexFunc(name, func(r rune) bool { return !strconv.IsPrint(r) }) < 0 {
		return name
	}
	return strconv.Quote(name)
}
