package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/gob"
	"encoding/hex"
	"errors"
	"os"
	"path/filepath"
	"slices"

	"gambeson/analysis"
	"gambeson/analysis/assembly"
	"gambeson/analysis/mesh"
	"gambeson/cmd/gambeson/machine"
	"gambeson/cmd/gambeson/store"
	"gambeson/config"
	"gambeson/report/disk"
)

// piece is a part as far as its meeting others goes.
type piece struct {
	place disk.Place
	sum   [sha256.Size]byte // of the file
	unit  mesh.Unit
}

// drawn returns its rims, which are in mm by the file's own unit, in the unit that
// suit.toml names, "" where none.
func (p piece) drawn(rims *assembly.Rims, unit string) *assembly.Rims {
	if scale := analysis.UnitScale(p.unit, unit); scale != 1 {
		return rims.Scaled(scale)
	}
	return rims
}

// recognised is the pieces of one file. A file that cannot be read has none,
// and is known all the same.
type recognised struct {
	sum    [sha256.Size]byte
	pieces []piece // not nil
}

// survey makes the pieces of every file of the folder known, once: a part that
// is looked into first must know those that come after it. It returns an error
// only where ctx ended.
func (f *folder) survey(ctx context.Context) error {
	if f.pieces.surveyed {
		return nil
	}
	parts, err := f.parts(f.root)
	if err != nil {
		return nil // what cannot be listed is said elsewhere
	}
	restored, before := f.pieces.restored, f.shellKeys()
	f.pieces.restored = false // until that is over, what comes marks nothing
	for _, part := range parts {
		path := f.path(part)
		_, known := f.pieces.of[part]
		if known && restored {
			s := f.seen[part]
			known = s.sure && f.stands(part, s)
		}
		if known || config.RootWithin(path, f.root) != f.root {
			continue
		}
		if known, ok := f.seen[part]; ok && known.sure {
			if m, ok := f.remembered(part, known.sum); ok && f.stands(part, known) {
				f.setPieces(part, f.recognisedIn(m))
				continue
			}
		}
		if f.poison(part) != nil {
			f.setPieces(part, recognised{pieces: []piece{}})
			continue
		}
		if err := f.recogniseAt(ctx, path, part); err != nil {
			f.pieces.restored = restored
			return err
		}
	}
	f.forgetOthers(parts)
	f.pieces.surveyed = true
	if restored {
		f.markChanged(before, f.shellKeys())
	}
	return nil
}

func (f *folder) recogniseAt(ctx context.Context, path, part string) error {
	file, err := mesh.Open(path)
	if err != nil {
		return ctx.Err()
	}
	defer file.Close()
	sum, err := file.Sum(ctx)
	if err != nil {
		return ctx.Err()
	}
	defer f.letGo()
	return f.recognise(ctx, file, sum, part)
}

// inHand is a file that was just read and what was found in it: it need not be
// read again to be looked into.
type inHand struct {
	file   *mesh.File
	sum    [sha256.Size]byte
	loaded *mesh.Loaded
}

func (f *folder) letGo() { f.held = inHand{} }

// take returns what a file holds if it is in hand, which it then is no more.
func (f *folder) take(file *mesh.File, member string) (l *mesh.Loaded, ok bool) {
	if f.held.file != file || member != "" {
		return nil, false
	}
	l = f.held.loaded
	f.letGo()
	return l, true
}

// recognise makes the pieces of a file with these bytes known. It returns an
// error only where ctx ended.
func (f *folder) recognise(ctx context.Context, file *mesh.File, sum [sha256.Size]byte, part string) error {
	if known, ok := f.pieces.of[part]; ok && known.sum == sum {
		return nil
	}
	if m, ok := f.remembered(part, sum); ok {
		f.setPieces(part, f.recognisedIn(m))
		return nil
	}
	names := []string{""}
	if file.Archive() {
		members, err := file.Members(ctx)
		if err != nil {
			return ctx.Err()
		}
		names = nil
		for _, m := range members {
			if m.Err == nil {
				names = append(names, m.Name)
			}
		}
	}
	m := memory{Version: memoryVersion, Part: part, Sum: sum}
	defer f.begin(part, f.patience(file.Size()))()
	for _, name := range names {
		l, rims, err := f.loadRims(ctx, file, name)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err == nil {
			m.Pieces = append(m.Pieces, memoryPiece{name, l.Unit, rims})
			if !file.Archive() {
				f.held = inHand{file, sum, l}
			}
		}
	}
	if file.Steady() == nil {
		f.remember(m)
	}
	f.setPieces(part, f.recognisedIn(m))
	return nil
}

// loadRims loads a part and finds its rims. A fault of the program's own is an
// error.
func (f *folder) loadRims(ctx context.Context, file *mesh.File, member string) (*mesh.Loaded, *assembly.Rims, error) {
	ctx, end := machine.Patient(ctx, f.patience(file.Size()))
	defer end()
	type both struct {
		l    *mesh.Loaded
		rims *assembly.Rims
	}
	b, err := aside(ctx, f.meanwhile, func() (both, error) {
		l, err := load(ctx, file, member)
		if err != nil {
			return both{}, err
		}
		return both{l, assembly.RimsOf(l.Mesh, f.workers)}, nil
	})
	return b.l, b.rims, err
}

// load loads a file, or a member of an archive.
func load(ctx context.Context, file *mesh.File, member string) (*mesh.Loaded, error) {
	l := machine.Limits(machine.Memory())
	if member == "" {
		return file.Load(ctx, l)
	}
	return file.LoadMember(ctx, member, l)
}

// memoryVersion changes when rims are found otherwise than before.
const memoryVersion = version + " rims 2"

// memory is what is kept of a file in the state folder, so that it need not be
// looked into again for what it may be a piece of while its bytes are the same.
type memory struct {
	Version string
	Part    string
	Sum     [sha256.Size]byte
	Pieces  []memoryPiece
}

type memoryPiece struct {
	Member string
	Unit   mesh.Unit
	Rims   *assembly.Rims
}

// memoryDir is the folder of the memories of a suit folder.
func (f *folder) memoryDir() (string, error) {
	dir, err := store.Dir()
	if err != nil {
		return "", err
	}
	dir = filepath.Join(dir, store.Key(f.root)+"-rims")
	return dir, os.MkdirAll(dir, 0o700)
}

func memoryName(part string) string {
	sum := sha256.Sum256([]byte(part))
	return hex.EncodeToString(sum[:12])
}

// remembered returns what is kept of a file with these bytes.
func (f *folder) remembered(part string, sum [sha256.Size]byte) (m memory, ok bool) {
	dir, err := f.memoryDir()
	if err != nil {
		return m, false
	}
	file, err := os.ReadFile(filepath.Join(dir, memoryName(part)))
	data, whole := store.Unsealed(file)
	if err != nil || !whole || gob.NewDecoder(bytes.NewReader(data)).Decode(&m) != nil {
		return m, false
	}
	unsound := func(p memoryPiece) bool { return p.Rims != nil && !p.Rims.Sound() }
	return m, m.Version == memoryVersion && m.Part == part && m.Sum == sum && !slices.ContainsFunc(m.Pieces, unsound)
}

// recognisedIn returns the pieces of a file that is remembered.
func (f *folder) recognisedIn(m memory) recognised {
	r := recognised{sum: m.Sum, pieces: []piece{}}
	for _, p := range m.Pieces {
		r.pieces = append(r.pieces, piece{disk.Place{Root: f.root, Part: m.Part, Member: p.Member}, m.Sum, p.Unit})
	}
	return r
}

// readRims returns the rims of a piece, nil where the file is no longer what it
// was: then it is looked into again anyway.
func (f *folder) readRims(p piece) *assembly.Rims {
	if m, ok := f.remembered(p.place.Part, p.sum); ok {
		for _, own := range m.Pieces {
			if own.Member == p.place.Member {
				return own.Rims
			}
		}
	}
	rims, _ := reread(f, p, func(ctx context.Context, file *mesh.File) (*assembly.Rims, error) {
		_, rims, err := f.loadRims(ctx, file, p.place.Member)
		return rims, err
	})
	return rims
}

// reread reads from the file of a piece again; ok is false where that is no longer
// what it was.
func reread[T any](f *folder, p piece, read func(ctx context.Context, file *mesh.File) (T, error)) (got T, ok bool) {
	ctx := context.Background() // it was read before, and within patience
	file, err := mesh.Open(f.path(p.place.Part))
	if err != nil {
		return got, false
	}
	defer file.Close()
	if sum, err := file.Sum(ctx); err != nil || sum != p.sum {
		return got, false
	}
	f.log.Debug().Str("event", "read_again").Str("file", p.place.Name()).Msg("a part is read again to be compared with others")
	got, err = read(ctx, file)
	return got, err == nil
}

// remember keeps what a file may be a piece of. Without that it is read again, so
// that no error matters.
func (f *folder) remember(m memory) {
	if f.readOnly {
		return
	}
	var b bytes.Buffer
	dir, err := f.memoryDir()
	if err == nil {
		err = gob.NewEncoder(&b).Encode(m)
	}
	if err == nil {
		path := filepath.Join(dir, memoryName(m.Part))
		err = errors.Join(os.WriteFile(path+".new", store.Sealed(b.Bytes()), 0o600), os.Rename(path+".new", path))
	}
	if err != nil {
		f.log.Debug().Str("event", "not_remembered").Str("file", m.Part).Err(err).Msg("the rims of a part are not kept")
	}
}

// forgetOthers removes what is remembered of files that are no longer there.
func (f *folder) forgetOthers(parts []string) {
	dir, err := f.memoryDir()
	if err != nil || f.readOnly {
		return
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	names := map[string]bool{}
	for _, part := range parts {
		names[memoryName(part)] = true
	}
	for _, e := range entries {
		if !names[e.Name()] {
			_ = os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}
