package store

import (
	"crypto/sha256"
	"os"
	"path/filepath"
)

// Leftover is the pattern of names that Replace may leave behind for a file of
// the name base, or of one that begins so, where the program is killed.
func Leftover(base string) string { return ".new-" + base + "*" }

// Replace writes a file of our own that others may read at any time.
func Replace(path string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	tmp, err := os.CreateTemp(filepath.Dir(path), Leftover(filepath.Base(path)))
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name())
	_, err = tmp.Write(data)
	if closed := tmp.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}

// Sealed returns data behind its check sum, so that a file that was torn or
// changed is not taken for what was written: rims that are none end the program.
func Sealed(data []byte) []byte {
	sum := sha256.Sum256(data)
	return append(sum[:], data...)
}

// Unsealed returns what was sealed; ok is false where it is not that any more.
func Unsealed(file []byte) (data []byte, ok bool) {
	if len(file) < sha256.Size {
		return nil, false
	}
	data = file[sha256.Size:]
	return data, sha256.Sum256(data) == [sha256.Size]byte(file)
}
