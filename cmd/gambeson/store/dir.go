// Package store is what the program keeps for itself beside the folders it
// watches, in the person's own folders: who holds which of them, and files that
// are whole or are seen not to be.
package store

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/adrg/xdg"
)

// Dir returns the daemon's own folder, made where it was not there.
func Dir() (string, error) {
	dir := filepath.Join(xdg.StateHome, "gambeson")
	if err := os.MkdirAll(dir, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return "", fmt.Errorf("cannot make the state folder: %w", err)
	}
	return dir, nil
}

// Key is a file name for a folder: equal for two ways to the same one.
func Key(root string) string {
	sum := sha256.Sum256([]byte(RealPath(root)))
	return hex.EncodeToString(sum[:12])
}

// LiesIn tells whether path is dir or lies below it.
func LiesIn(dir, path string) bool {
	relative, err := filepath.Rel(dir, path)
	return err == nil && filepath.IsLocal(relative)
}

// RealPath is the path without symbolic links, or the path itself where that
// cannot be told.
func RealPath(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		return real
	}
	return path
}
