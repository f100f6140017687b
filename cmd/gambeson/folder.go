package main

import (
	"context"
	"crypto/sha256"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"gambeson/analysis"
	"gambeson/analysis/cost"
	"gambeson/analysis/mesh"
	"gambeson/cmd/gambeson/machine"
	"gambeson/config"
	"gambeson/report"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/suit"

	"github.com/rs/zerolog"
)

// folder is one suit folder that is being looked after: what its TOML files
// ask, and what is known of each part.
type folder struct {
	root     string
	log      zerolog.Logger
	readOnly bool                           // another process holds the folder: read and say, write nothing
	daemon   bool                           // it is looked after for long: what has not changed is not looked into
	workers  int                            // processors that one examination may use
	patience func(size int64) time.Duration // how long a file of so many bytes may take

	keeper *config.Keeper
	asked  *config.Folder
	kept   []config.Kept // TOML files that cannot be used, and what holds instead

	calibration cost.Calibration // of the forecast of hours and grams, as of the last reload
	asking      digestOf         // what is asked of all parts, likewise

	rows    map[string][]row      // by path of the file relative to root, with slashes; see setRows
	linked  map[string]bool       // files whose answers depend on others
	seen    map[string]seen       // how the files were then, likewise
	gone    map[string]disk.Place // reports whose part is no longer there, by name
	summed  digestOf              // what SUIT.md was last made of, and how it then lay
	said    int                   // how many files it then said are still to come
	missed  bool                  // it then said that bed loads were taken away
	good    digestOf              // what the TOML files last said that could be used, as it was last written
	snapped digestOf              // the snapshot as it was last written
	pieces  pieces                // what is known of shells that come in several files
	held    inHand                // the file that is being looked into, while its shells are
	kin     *analysis.Kinship     // of the shapes of its parts; nil until it is read

	raised    raised               // what the person should know, as it was said
	unwritten map[string]unwritten // reports that could not be written, by path of the part
	ledger    *ledger              // of the daemon; nil elsewhere
	room      *machine.Room        // likewise
	meanwhile meanwhile            // likewise
}

func newFolder(root string, workers int, log zerolog.Logger) *folder {
	f := &folder{root: root, workers: workers, patience: machine.Patience, log: log, keeper: config.NewKeeper(root), rows: map[string][]row{}, linked: map[string]bool{}, seen: map[string]seen{}, gone: map[string]disk.Place{}, unwritten: map[string]unwritten{}}
	f.pieces.of, f.pieces.stale = map[string]recognised{}, map[string]bool{}
	f.reload()
	return f
}

// reload reads the TOML files again. What cannot be used keeps its last good
// values.
func (f *folder) reload() {
	f.asked, f.kept = f.keeper.Load(time.Now())
	f.calibration = calibrate(f.root, f.asked.Logbook.Printed)
	f.pieces.shells = nil
	f.asking = f.askedNow()
}

// peek reads the TOML files while a part is at work, and takes note of those that
// cannot be used; what is asked stays as it is until all are reloaded. It tells
// whether there are such files.
func (f *folder) peek() bool {
	keeper := *f.keeper
	_, kept := keeper.Load(time.Now())
	if len(kept) > 0 {
		f.kept = kept
	}
	return len(kept) > 0
}

// look looks into one file, a mesh or an archive of them, and into those that
// are pieces of the same shell and were judged with what is no longer so. The
// rows replace what was known of these files.
func (f *folder) look(ctx context.Context, part string) ([]outcome, error) {
	if err := f.survey(ctx); err != nil {
		return nil, err
	}
	done, err := f.lookAlone(ctx, part)
	if err != nil {
		return nil, err
	}
	mates, err := f.lookAtMates(ctx, part)
	return append(done, mates...), err
}

// lookAlone looks into one file. Where another piece of its shell was found to
// have changed meanwhile, it does so once more with that as it is now.
func (f *folder) lookAlone(ctx context.Context, part string) ([]outcome, error) {
	if done, ok := f.asBefore(part); ok {
		return done, nil
	}
	before, there := f.before(part)
	done, sum, err := f.lookInto(ctx, part)
	if errors.Is(err, errMate) {
		if err := f.survey(ctx); err != nil {
			return nil, err
		}
		if done, sum, err = f.lookInto(ctx, part); errors.Is(err, errMate) {
			err = mesh.ErrChanging
		}
	}
	switch {
	case errors.Is(err, fs.ErrNotExist): // it went in this moment: nothing is wrong with it
		return nil, mesh.ErrChanging
	case isShort(err):
		return nil, err
	}
	var unreadable *mesh.ReadError
	if errors.As(err, &unreadable) { // it could not even be opened
		place := disk.Place{Root: f.root, Part: part}
		var o outcome
		if o, err = f.refuse(ctx, place, "", unreadable); err == nil {
			done = []outcome{o}
		}
	}
	if err != nil {
		return nil, err
	}
	rows := make([]row, len(done))
	for i, o := range done {
		rows[i] = f.rowOf(o)
		delete(f.gone, o.row.Place.Name())
	}
	f.setRows(part, rows)
	if there && !f.readOnly {
		f.note(part, before, sum)
	}
	return done, nil
}

// isShort tells errors of a system that has not enough of something just now.
func isShort(err error) bool {
	return errors.Is(err, syscall.EMFILE) || errors.Is(err, syscall.ENFILE) || errors.Is(err, syscall.ENOMEM)
}

// lookInto looks into a file with these bytes.
func (f *folder) lookInto(ctx context.Context, part string) (done []outcome, sum [sha256.Size]byte, err error) {
	if err := f.poison(part); err != nil {
		return nil, sum, err
	}
	file, err := mesh.Open(f.path(part))
	if err != nil {
		return nil, sum, err
	}
	defer file.Close()
	if sum, err = file.Sum(ctx); err != nil {
		return nil, sum, err
	}
	defer f.letGo()
	if err := f.recognise(ctx, file, sum, part); err != nil {
		return nil, sum, err
	}
	place := disk.Place{Root: f.root, Part: part}
	if file.Archive() {
		done, err = f.lookThrough(ctx, file, sum, place)
		return done, sum, err
	}
	o, err := f.inspect(ctx, file, sum, place)
	return []outcome{o}, sum, err
}

// lookThrough looks into every part of an archive and writes its list.
func (f *folder) lookThrough(ctx context.Context, file *mesh.File, sum [32]byte, archive disk.Place) ([]outcome, error) {
	members, err := file.Members(ctx)
	if err != nil {
		if changed := file.Steady(); changed != nil {
			return nil, changed
		}
		return nil, err
	}
	var done []outcome
	var rows []suit.Row
	for _, m := range members {
		place := archive
		place.Member = m.Name
		var o outcome
		if m.Err != nil {
			o, err = f.refuse(ctx, place, "", m.Err)
		} else {
			o, err = f.inspect(ctx, file, sum, place)
		}
		if err != nil {
			return nil, err
		}
		done, rows = append(done, o), append(rows, o.row)
	}
	f.leaveBehind(archive, rows)
	fingerprint, err := analysis.Fingerprint(sum, f.asked.Brief(archive.Name()), version)
	if err != nil || f.readOnly {
		return done, err
	}
	if err := suit.WriteList(archive, fingerprint, rows); err != nil && len(done) > 0 {
		done[0].unwritten = err
	}
	return done, nil
}

// leaveBehind marks the reports of members that an archive no longer holds,
// whoever wrote them.
func (f *folder) leaveBehind(archive disk.Place, now []suit.Row) {
	for _, old := range disk.Members(archive) { // their names are as JSON can hold them
		if !slices.ContainsFunc(now, func(r suit.Row) bool {
			return strings.ToValidUTF8(r.Place.Name(), "\ufffd") == strings.ToValidUTF8(old.Name(), "\ufffd")
		}) {
			f.markGone(old)
		}
	}
}

// forget says that a file is no longer there. What it was a piece of is to be
// looked into again.
func (f *folder) forget(part string) {
	f.setPieces(part, recognised{})
	if f.rows[part] == nil { // it went before its turn: its report is from before
		f.recallFile(part)
	}
	for _, r := range f.rows[part] {
		f.markGone(r.Place)
	}
	f.raised.drop(part)
	delete(f.unwritten, part)
	f.setRows(part, nil)
	delete(f.seen, part)
}

func (f *folder) markGone(p disk.Place) {
	f.gone[p.Name()] = p
	if f.readOnly {
		return
	}
	os.Remove(keptPath(p))
	if err := report.MarkGone(p); err != nil {
		f.log.Warn().Str("event", "write_failed").Str("file", p.Name()).Err(err).Msg("cannot mark the report of a part that is gone")
	}
}

// recall reads what the report at a place says, without looking into the part.
func recall(place disk.Place) (suit.Row, bool) {
	findings := paper.Previous(place)
	if findings == nil {
		return suit.Row{}, false
	}
	if u := findings.Unreadable; u != nil {
		return suit.Row{Place: place, Refusal: &answer.Refusal{Where: u.Where, Cause: u.Cause, Remedy: u.Remedy}}, true
	}
	if why, refused := findings.Refusal(); refused {
		return suit.Row{Place: place, Refusal: &answer.Refusal{Cause: why}}, true
	}
	return suit.Row{Place: place, Findings: findings}, true
}

// recallFile fills the rows of a file from the reports at hand.
func (f *folder) recallFile(part string) {
	place := disk.Place{Root: f.root, Part: part}
	for _, p := range append(disk.Members(place), place) {
		if r, ok := recall(p); ok {
			o := outcome{row: r}
			if r.Findings != nil {
				o.fingerprint = r.Findings.Fingerprint
			}
			f.setRows(part, append(f.rows[part], f.rowOf(o)))
		}
	}
}

// parts lists the mesh files below dir, relative to root, with slashes, in
// order. Folders that cannot be read are named in the log and left out.
func (f *folder) parts(dir string) ([]string, error) {
	var found []string
	err := f.walk(dir, func(path string) {
		if relative, err := filepath.Rel(f.root, path); mesh.Known(path) && err == nil {
			found = append(found, filepath.ToSlash(relative))
		}
	}, func(path string, err error) {
		f.log.Warn().Str("event", "unreadable").Str("file", path).Err(err).Msg("cannot look into a folder")
	})
	slices.Sort(found)
	return found, err
}

// walk tells found of the files below dir that concern us, and hidden of the folders
// that cannot be read.
func (f *folder) walk(dir string, found func(path string), hidden func(path string, err error)) error {
	return filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil && path == dir:
			return err
		case errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ENOTDIR):
			return fs.SkipDir // it went since its own folder was listed
		case err != nil:
			hidden(path, err)
			return fs.SkipDir
		case d.IsDir():
			if path != dir && !descend(path) {
				return fs.SkipDir
			}
		case accept(path):
			found(path)
		}
		return nil
	})
}

// accept says which files concern us: meshes and the person's TOML, and those that are
// only spoken of; never our own output nor what is hidden or unfinished.
func accept(path string) bool {
	name := filepath.Base(path)
	if strings.HasPrefix(name, ".") || disk.Ours(path) {
		return false
	}
	return mesh.Known(name) || isConfig(name) || unread(name)
}

// unread says which files are spoken of in SUIT.md, as they are not read: they are most
// likely meant as a TOML file, or hold meshes.
func unread(name string) bool {
	foreign, _ := suit.Foreign(name)
	return foreign || config.MeantAs(name) != ""
}

func isConfig(name string) bool {
	return name == "suit.toml" || name == "wearer.toml" || name == "logbook.toml"
}

// descend says which folders are entered: none that is hidden or ours.
func descend(dir string) bool {
	return !strings.HasPrefix(filepath.Base(dir), ".") && !disk.Ours(filepath.Join(dir, "findings.json"))
}
