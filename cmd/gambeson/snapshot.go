package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/gob"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/analysis/assembly"
	"gambeson/analysis/mesh"
	"gambeson/cmd/gambeson/store"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/suit"
	"gambeson/watcher"
)

// A daemon that starts again need not look at what has not changed since its last
// self did. So that is written down beside the state: how every file lay, and
// every report, and what was asked. What lies otherwise, or was asked otherwise,
// is looked into. Without it everything is, which costs only time.

// snapshot is what is known of a folder. It holds no measures: the findings are
// read from the reports.
type snapshot struct {
	Version string
	Root    string
	Summed  digestOf
	Files   []snapFile
	Gone    []snapPart
	// Met, Sided and Whole are those of contacts.
	Met          []snapContact
	Sided, Whole []digestOf
}

type snapFile struct {
	Part   string
	Stamp  watcher.Stamp
	Sum    [sha256.Size]byte
	Sure   bool
	List   digestOf
	Rows   []snapRow
	Known  bool        // Pieces are
	Pieces []snapPiece // in the order in which they were found
}

type snapRow struct {
	Member      string
	Refusal     *answer.Refusal
	Fingerprint string
	Asked, Lay  digestOf
	Warned      bool
	Joined      *analysis.Assembly
	Rival       bool
}

type snapPiece struct {
	Member string
	Unit   mesh.Unit
}

type snapPart struct{ Part, Member string }

type snapContact struct {
	Pair    [2]digestOf
	Contact assembly.Contact
}

const snapshotVersion = memoryVersion + " snapshot 2"

func snapshotPath(root string) (string, error) {
	path, err := statePath(root)
	return strings.TrimSuffix(path, ".json") + ".seen", err
}

// snapshot returns what is known of the folder, in a fixed order.
func (f *folder) snapshot() snapshot {
	s := snapshot{Version: snapshotVersion, Root: store.RealPath(f.root), Summed: f.summed}
	for _, part := range f.inOrder() {
		if file, ok := f.snapFile(part); ok {
			s.Files = append(s.Files, file)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(f.gone)) {
		p := f.gone[name]
		s.Gone = append(s.Gone, snapPart{p.Part, p.Member})
	}
	for pair, c := range f.pieces.contacts.met {
		s.Met = append(s.Met, snapContact{pair, c})
	}
	slices.SortFunc(s.Met, func(a, b snapContact) int {
		return bytes.Compare(slices.Concat(a.Pair[0][:], a.Pair[1][:]), slices.Concat(b.Pair[0][:], b.Pair[1][:]))
	})
	s.Sided, s.Whole = sortedKeys(f.pieces.contacts.sided), sortedKeys(f.pieces.contacts.whole)
	return s
}

func sortedKeys(all map[digestOf]bool) []digestOf {
	return slices.SortedFunc(maps.Keys(all), func(a, b digestOf) int { return bytes.Compare(a[:], b[:]) })
}

// snapFile is what is known of a file; ok is false where that is only in memory.
func (f *folder) snapFile(part string) (file snapFile, ok bool) {
	own := f.seen[part]
	file = snapFile{Part: part, Stamp: own.stamp, Sum: own.sum, Sure: own.sure && !f.pieces.stale[part], List: own.list}
	for i := range f.rows[part] {
		r := &f.rows[part][i]
		if r.alone {
			return file, false
		}
		file.Rows = append(file.Rows, snapRow{
			Member: r.Place.Member, Refusal: r.Refusal, Fingerprint: r.fingerprint, Asked: r.asked, Lay: r.lay,
			Warned: r.warned, Joined: r.joined, Rival: r.rival,
		})
	}
	if r, known := f.pieces.of[part]; known && r.sum == own.sum {
		file.Known = true
		for _, p := range r.pieces {
			file.Pieces = append(file.Pieces, snapPiece{p.place.Member, p.unit})
		}
	}
	return file, true
}

// keepSnapshot writes what is known of the folder, where that is news.
func (f *folder) keepSnapshot() error {
	path, err := snapshotPath(f.root)
	if err != nil || f.readOnly {
		return err
	}
	var b bytes.Buffer
	if err := gob.NewEncoder(&b).Encode(f.snapshot()); err != nil {
		return err
	}
	if now := digestBytes(b.Bytes()); now != f.snapped {
		if err := store.Replace(path, store.Sealed(b.Bytes())); err != nil {
			return err
		}
		f.snapped = now
	}
	return nil
}

// readSnapshot returns what the last daemon on a folder knew of it; ok is false
// where that cannot be trusted: torn, of another folder, of another version.
func readSnapshot(root string) (s snapshot, ok bool) {
	path, err := snapshotPath(root)
	if err != nil {
		return s, false
	}
	file, err := os.ReadFile(path)
	data, whole := store.Unsealed(file)
	if err != nil || !whole || gob.NewDecoder(bytes.NewReader(data)).Decode(&s) != nil {
		return snapshot{}, false
	}
	return s, s.Version == snapshotVersion && s.Root == store.RealPath(root) && s.local()
}

// local reports whether all that a snapshot names lies in its folder: the reports of what
// is gone are written anew.
func (s *snapshot) local() bool {
	inside := func(part string) bool { return filepath.IsLocal(filepath.FromSlash(part)) }
	return !slices.ContainsFunc(s.Files, func(f snapFile) bool { return !inside(f.Part) }) &&
		!slices.ContainsFunc(s.Gone, func(p snapPart) bool { return !inside(p.Part) })
}

// restore takes up what the last daemon knew, and the warnings as it told them.
func (f *folder) restore(s snapshot, told []string) {
	texts := map[string][]string{}
	for _, file := range s.Files {
		place := disk.Place{Root: f.root, Part: file.Part}
		rows := make([]row, len(file.Rows))
		for i, r := range file.Rows {
			place.Member = r.Member
			rows[i] = row{
				Row: suit.Row{Place: place, Refusal: r.Refusal}, fingerprint: r.Fingerprint, asked: r.Asked, lay: r.Lay,
				warned: r.Warned, joined: r.Joined, rival: r.Rival,
			}
			texts[place.Name()] = nil
		}
		f.setRows(file.Part, rows)
		if file.Sum != [sha256.Size]byte{} {
			f.seen[file.Part] = seen{file.Stamp, file.Sum, file.Sure, file.List}
		}
		if file.Known {
			m := memory{Part: file.Part, Sum: file.Sum}
			for _, p := range file.Pieces {
				m.Pieces = append(m.Pieces, memoryPiece{Member: p.Member, Unit: p.Unit})
			}
			f.pieces.of[file.Part] = f.recognisedIn(m)
		}
	}
	for _, g := range s.Gone {
		place := disk.Place{Root: f.root, Part: g.Part, Member: g.Member}
		if _, err := os.Stat(filepath.Join(f.root, filepath.FromSlash(place.Report()))); err == nil {
			f.gone[place.Name()] = place
		}
	}
	c := &f.pieces.contacts
	c.forget(nil)
	for _, m := range s.Met {
		c.met[m.Pair] = m.Contact
	}
	for _, key := range s.Sided {
		c.sided[key] = true
	}
	for _, key := range s.Whole {
		c.whole[key] = true
	}
	f.summed, f.pieces.restored = s.Summed, true
	for _, line := range told {
		if name, text, ok := cutName(line, texts); ok {
			texts[name] = append(texts[name], text)
		}
	}
	for _, rows := range f.rows {
		for i := range rows {
			rows[i].warnings = texts[rows[i].Place.Name()]
		}
	}
}

// cutName parts a warning as the state tells it, "name: text", at the end of a
// name that is known.
func cutName(line string, names map[string][]string) (name, text string, ok bool) {
	for at := 0; ; {
		next := strings.Index(line[at:], ": ")
		if next < 0 {
			return "", "", false
		}
		at += next
		if _, known := names[line[:at]]; known {
			return line[:at], line[at+2:], true
		}
		at += 2
	}
}
