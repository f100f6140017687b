package main

import (
	"bytes"
	"os"
	"strings"

	"gambeson/analysis"
	"gambeson/cmd/gambeson/store"
)

// kinPath is where what was found of pairs of shapes is kept, beside the state:
// without it they are compared again.
func kinPath(root string) (string, error) {
	path, err := statePath(root)
	return strings.TrimSuffix(path, ".json") + ".kin", err
}

// kinAmong returns how parts are alike, the oldest first.
func (f *folder) kinAmong(found []*analysis.Findings) []analysis.Relation {
	path, err := kinPath(f.root)
	if err == nil && f.kin == nil {
		f.kin = &analysis.Kinship{}
		file, err := os.ReadFile(path)
		if text, whole := store.Unsealed(file); whole && err == nil {
			f.kin.Read(bytes.NewReader(text), version)
		}
	}
	if f.kin == nil {
		f.kin = &analysis.Kinship{}
	}
	all, changed := f.kin.Among(found)
	if changed && err == nil && !f.readOnly {
		var text bytes.Buffer
		if err = f.kin.Write(&text, version); err == nil {
			err = store.Replace(path, store.Sealed(text.Bytes()))
		}
	}
	if err != nil {
		f.log.Debug().Str("event", "keep_failed").AnErr("err", err).Msg("what was found of pairs of shapes is not kept")
	}
	return all
}
