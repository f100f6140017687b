package config

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// Misnamed is a file of a suit folder that is most likely meant as one of the three
// that are read, but bears another name.
type Misnamed struct{ File, Meant string }

// Mistaken lists these, by name. Where the file that one is meant as is there, it is
// taken for a copy and not listed.
func Mistaken(root string) (all []Misnamed) {
	entries, err := os.ReadDir(root)
	if err != nil {
		return nil // whoever looks for parts says it
	}
	for _, e := range entries {
		meant := MeantAs(e.Name())
		if meant == "" {
			continue
		}
		info, err := os.Stat(filepath.Join(root, e.Name()))
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		// Where case does not matter, this finds Wearer.toml.
		if _, err := os.Stat(filepath.Join(root, meant)); err != nil {
			all = append(all, Misnamed{e.Name(), meant})
		}
	}
	return all
}

// copied is what browsers and file managers add to the name of a second file: (1),
// copy, copy 2.
var copied = regexp.MustCompile(`( - |[ _-])?(\(\d+\)|copy( \d+)?)$`)

// MeantAs returns the name of ours that a file's name was most likely to be, "" where
// it is one, or none of them.
func MeantAs(name string) string {
	ours := []string{suitFile, wearerFile, logbookFile}
	if slices.Contains(ours, name) || strings.HasPrefix(name, ".") {
		return ""
	}
	plain := strings.ToLower(name)
	// Editors that only know text add .txt, and do not show it.
	plain, asText := strings.CutSuffix(plain, ".txt")
	stem, asToml := strings.CutSuffix(strings.TrimSpace(plain), ".toml")
	if !asText && !asToml {
		return ""
	}
	stem = strings.TrimPrefix(copied.ReplaceAllString(strings.TrimSpace(stem), ""), "copy of ")
	stem = strings.NewReplacer(" ", "", "_", "", "-", "").Replace(stem)
	for _, file := range ours {
		word := strings.TrimSuffix(file, ".toml")
		// One slip of the finger, but none in a text that may be anything.
		if stem == word || asToml && distance(stem, word) == 1 {
			return file
		}
	}
	return ""
}
