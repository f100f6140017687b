package main

import (
	"context"
	"errors"
	"maps"
	"path/filepath"
	"slices"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/report/disk"
	"gambeson/report/paper"
)

// errMate says that another piece of the shell is no longer what it was.
var errMate = errors.New("another piece of the shell has changed")

// setPieces takes note of the pieces of a file, none where it is gone, and of
// the files whose shell that changes.
func (f *folder) setPieces(file string, r recognised) {
	before := f.shellKeys()
	if r.pieces == nil {
		delete(f.pieces.of, file)
	} else {
		f.pieces.of[file] = r
	}
	f.pieces.shells = nil
	f.markChanged(before, f.shellKeys())
}

// markChanged takes note of the files whose shell is no longer what it was before.
func (f *folder) markChanged(before, after map[string]string) {
	for name, key := range before {
		if after[name] != key {
			f.markStale(name)
		}
	}
	for name := range after {
		if _, known := before[name]; !known {
			f.markStale(name)
		}
	}
}

func (f *folder) markStale(name string) {
	if p, ok := f.piece(name); ok {
		f.pieces.stale[p.place.Part] = true
	}
}

// shellKeys returns for each part that is a piece of a shell what that is.
func (f *folder) shellKeys() map[string]string {
	keys := map[string]string{}
	if f.pieces.surveyed || f.pieces.restored { // else nothing was looked into yet
		for name, s := range f.shells() {
			keys[name] = f.shellKey(s)
		}
		for name, other := range f.pieces.rivals {
			keys[name] += "\nrival of " + other
		}
	}
	return keys
}

// shellKey names a shell by the bytes of its pieces.
func (f *folder) shellKey(s *shell) string {
	key := s.name
	for _, m := range s.members {
		own := f.key(m)
		key += "\n" + m.place.Name() + "\n" + string(own[:])
	}
	return key
}

// lookAtMates looks into the files that a change of one file, "" where it is
// gone, makes necessary: those whose shell changed, and the other pieces of its
// own. Each is looked into once, and only where its report is not of the shell
// as it is now.
func (f *folder) lookAtMates(ctx context.Context, file string) ([]outcome, error) {
	defer func() { f.pieces.whole.key, f.pieces.whole.shell = "", nil }()
	if f.readOnly {
		return nil, nil
	}
	for _, p := range f.pieces.of[file].pieces {
		if s := f.shells()[p.place.Name()]; s != nil {
			for _, m := range s.members {
				f.pieces.stale[m.place.Part] = true
			}
		}
	}
	for part := range f.linked {
		for i := range f.rows[part] {
			if f.rows[part][i].concerns(file, f.pieces.of[file].pieces) {
				f.pieces.stale[part] = true
			}
		}
	}
	delete(f.pieces.stale, file)
	var done []outcome
	for _, mate := range slices.Sorted(maps.Keys(f.pieces.stale)) {
		if !f.outdated(mate) || f.blocked(mate) {
			delete(f.pieces.stale, mate)
			continue
		}
		more, err := f.lookAlone(ctx, mate)
		switch {
		case err == nil, errors.Is(err, mesh.ErrChanging) && ctx.Err() == nil: // it comes by itself when it rests
			delete(f.pieces.stale, mate)
		default:
			return done, err
		}
		for _, o := range more {
			o.mate = true
			done = append(done, o)
		}
	}
	return done, nil
}

// outdated reports whether a piece of a file has no report of its bytes and its
// shell as they are known.
func (f *folder) outdated(file string) bool {
	return slices.ContainsFunc(f.pieces.of[file].pieces, func(p piece) bool {
		want, err := analysis.Fingerprint(p.sum, f.brief(p.place), version)
		have, ok := paper.Fingerprint(p.place)
		return err == nil && (!ok || have != want)
	})
}

// together returns the shell that a part, which was loaded, is a piece of, and
// which piece it is; nil where it is none.
func (f *folder) together(ctx context.Context, place disk.Place, own *mesh.Loaded) (*analysis.Whole, int, error) {
	s := f.shells()[place.Name()]
	if s == nil {
		return nil, 0, nil
	}
	at := slices.IndexFunc(s.members, func(p piece) bool { return p.place == place })
	key := f.shellKey(s)
	if f.pieces.whole.key == key {
		return f.pieces.whole.shell, at, nil
	}
	var loaded []*mesh.Loaded
	var units []string
	for i, m := range s.members {
		l, err := own, error(nil)
		if i != at {
			l, err = f.loadAgain(ctx, m)
		}
		if err != nil {
			return nil, 0, err
		}
		loaded, units = append(loaded, l), append(units, f.unit(m))
	}
	f.pieces.whole.key, f.pieces.whole.shell = key, analysis.Together(loaded, units)
	return f.pieces.whole.shell, at, nil
}

// loadAgain loads a piece. Where its bytes are no longer those that are known,
// the error is errMate, and they are known no more.
func (f *folder) loadAgain(ctx context.Context, p piece) (*mesh.Loaded, error) {
	l, err := func() (*mesh.Loaded, error) {
		file, err := mesh.Open(filepath.Join(f.root, filepath.FromSlash(p.place.Part)))
		if err != nil {
			return nil, err
		}
		defer file.Close()
		if sum, err := file.Sum(ctx); err != nil || sum != p.sum {
			return nil, errors.Join(errMate, err)
		}
		return load(ctx, file, p.place.Member)
	}()
	if err != nil && ctx.Err() == nil {
		f.setPieces(p.place.Part, recognised{})
		f.pieces.surveyed = false
		return nil, errMate
	}
	return l, err
}
