package config

import (
	"os"
	"path/filepath"
)

// RootWithin returns the suit folder that a file below top belongs to: the
// nearest folder above the file, no higher than top, that holds suit.toml,
// wearer.toml or SUIT.md; top where none does. Both are absolute paths.
func RootWithin(file, top string) string {
	for dir := filepath.Dir(file); len(dir) > len(top); dir = filepath.Dir(dir) {
		if marked(dir) {
			return dir
		}
	}
	return top
}

// marked reports whether a folder holds a file that makes it a suit folder.
func marked(dir string) bool {
	for _, name := range []string{suitFile, wearerFile, suitReport} {
		if info, err := os.Stat(filepath.Join(dir, name)); err == nil && !info.IsDir() {
			return true
		}
	}
	return false
}
