package main

import (
	"maps"
	"os"
	"path/filepath"
	"sync"

	"gambeson/config"
	"gambeson/report/disk"
	"gambeson/watcher"
)

// known is what the snapshots say of files, for the first walk: it asks while a
// part may be looked into, and so has this to itself.
type known struct {
	mu sync.Mutex
	of map[string]*knownFolder // by root
}

type knownFolder struct {
	asking digestOf
	files  map[string]*snapFile // by part
	roots  map[string]string    // of the suits that the folders of files belong to
	found  map[string]bool      // files that are as they were
}

// add takes up the snapshot of a folder.
func (k *known) add(f *folder, s snapshot) {
	own := &knownFolder{asking: f.asking, files: map[string]*snapFile{}, roots: map[string]string{}, found: map[string]bool{}}
	for i := range s.Files {
		own.files[s.Files[i].Part] = &s.Files[i]
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.of == nil {
		k.of = map[string]*knownFolder{}
	}
	k.of[f.root] = own
}

// holds tells that a file, and all that was written of it, is as the last daemon
// left it, and that the same is asked.
func (k *known) holds(path string, stamp watcher.Stamp) bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	for root, f := range k.of {
		if part, err := filepath.Rel(root, path); err == nil && filepath.IsLocal(part) {
			return f.holds(root, filepath.ToSlash(part), stamp)
		}
	}
	return false
}

func (f *knownFolder) holds(root, part string, stamp watcher.Stamp) bool {
	file := f.files[part]
	if file == nil || !file.Sure || file.Stamp != stamp || f.asking == (digestOf{}) || len(file.Rows) == 0 {
		return false
	}
	path := filepath.Join(root, filepath.FromSlash(part))
	dir := filepath.Dir(path)
	if _, known := f.roots[dir]; !known {
		f.roots[dir] = config.RootWithin(path, root)
	}
	place := disk.Place{Root: root, Part: part}
	if f.roots[dir] != root || file.List != layOfList(place) {
		return false
	}
	for _, r := range file.Rows {
		place.Member = r.Member
		if r.Asked != f.asking || r.Lay == (digestOf{}) || r.Lay != layOf(place) {
			return false
		}
	}
	f.found[part] = true
	return true
}

// take returns the files of a folder that were found to be as they were, and
// forgets it.
func (k *known) take(root string) map[string]bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	f := k.of[root]
	delete(k.of, root)
	if f == nil {
		return nil
	}
	return f.found
}

// findGone forgets the parts that went while nobody watched, and those that are
// now another suit's, and marks their reports. Of found it is known that they are
// there.
func (f *folder) findGone(found map[string]bool) {
	for part := range maps.Clone(f.rows) {
		if found[part] {
			continue
		}
		_, err := os.Stat(f.path(part))
		_, reported := os.Stat(filepath.Join(f.root, filepath.FromSlash(disk.Place{Part: part}.Report())))
		switch {
		case os.IsNotExist(err) && reported == nil:
			f.forget(part)
		case os.IsNotExist(err) || config.RootWithin(f.path(part), f.root) != f.root: // with its report, or another's
			f.setPieces(part, recognised{})
			f.raised.drop(part)
			f.setRows(part, nil)
			delete(f.seen, part)
		}
	}
	f.markOrphans()
	f.doubt()
}

// markOrphans marks the reports whose part is no longer there.
func (f *folder) markOrphans() {
	for _, p := range disk.Orphans(f.root) {
		f.markGone(p)
		f.raised.drop(p.Name())
	}
}

// doubt has the parts looked into again that depend on others and were asked
// something else than they are now.
func (f *folder) doubt() {
	for part, rows := range f.rows {
		for i := range rows {
			if f.isJoined(&rows[i]) && !f.asksTheSame(&rows[i], f.seen[part].sum) {
				f.pieces.stale[part] = true
			}
		}
	}
}
