package main

import (
	"cmp"
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/analysis/assembly"
	"gambeson/analysis/fit/guess"
	"gambeson/analysis/mesh"
	"gambeson/report"
)

// pieces is what is known of the parts of a folder as pieces of shells that
// come in several files.
type pieces struct {
	surveyed bool                           // every file was looked at once
	of       map[string]recognised          // by path of the file
	shells   map[string]*shell              // by name of the part; nil where to be found anew
	rivals   map[string]string              // by name of a part: the one that is in a shell instead of it
	met      map[[2]string]assembly.Contact // by keys of two pieces; zero where they do not touch
	stale    map[string]bool                // files whose shell changed since they were looked into
	whole    struct {                       // the shell looked into last
		key   string
		shell *analysis.Whole
	}
}

// shell is several pieces that make one.
type shell struct {
	name    string
	named   bool // in suit.toml
	members []piece
}

// errMate says that another piece of the shell is no longer what it was.
var errMate = errors.New("another piece of the shell has changed")

// brief is what is asked of a part: what its folder asks, and what the other
// pieces of its shell are.
func (f *folder) brief(place report.Place) analysis.Brief {
	brief := f.asked.Brief(place.Name())
	s := f.shells()[place.Name()]
	if s == nil {
		brief.Apart, brief.Rival = f.apart(place), f.pieces.rivals[place.Name()]
		return brief
	}
	brief.Assembly, brief.Named = s.name, s.named
	for _, m := range s.members {
		if m.place == place {
			continue
		}
		its := f.asked.Brief(m.place.Name())
		brief.Mates = append(brief.Mates, analysis.Mate{
			Part: m.place.Name(), Sum: hex.EncodeToString(m.sum[:]), Unit: its.Unit, Percent: its.Percent,
		})
		share(&brief, its)
	}
	if _, _, _, told := guess.FromName(place.Name()); brief.Region.Name == "" && !told {
		shareGuess(&brief, s)
	}
	return brief
}

// shareGuess takes over what the name of another piece tells.
func shareGuess(b *analysis.Brief, s *shell) {
	for _, m := range s.members {
		if region, side, reason, ok := guess.FromName(m.place.Name()); ok {
			b.Region.Name, b.Region.Source, b.Region.Reason = region, "name", reason+" (of "+m.place.Name()+")"
			if b.Region.Side == "" {
				b.Region.Side = side
			}
			return
		}
	}
}

// share takes over what suit.toml says of another piece of the same shell and
// not of this one.
func share(b *analysis.Brief, its analysis.Brief) {
	if b.Region.Source != "config" && its.Region.Source == "config" {
		b.Region = its.Region
	}
	if b.Region.Side == "" {
		b.Region.Side = its.Region.Side
	}
	if b.Axis == nil {
		b.Axis = its.Axis
	}
	if b.Rest == nil {
		b.Rest = its.Rest
	}
	if b.Enter == "" {
		b.Enter = its.Enter
	}
	if b.Panel == "" {
		b.Panel = its.Panel
	}
	b.Halves = b.Halves || its.Halves
	b.Strapped = b.Strapped || its.Strapped
}

// apart lists the parts with which one that is a piece of no shell now was found
// to make one when its report was written, and of which it touches none.
func (f *folder) apart(place report.Place) []string {
	before := report.Previous(place)
	if before == nil || before.Assembly == nil || before.Assembly.Named {
		return nil
	}
	own, _ := f.piece(place.Name())
	var names []string
	for _, name := range slices.Concat(before.Assembly.Mates, before.Assembly.Apart) {
		other, there := f.piece(name)
		switch {
		case !there:
		case f.meet(own, other) != (assembly.Contact{}):
			return nil
		default:
			names = append(names, name)
		}
	}
	return names
}

// piece returns the piece of a name.
func (f *folder) piece(name string) (piece, bool) {
	for _, r := range f.pieces.of {
		for _, p := range r.pieces {
			if p.place.Name() == name {
				return p, true
			}
		}
	}
	return piece{}, false
}

// shells returns the shells of several pieces, by the name of each piece: those
// that suit.toml names, and of the other parts those that touch.
func (f *folder) shells() map[string]*shell {
	if f.pieces.shells != nil {
		return f.pieces.shells
	}
	f.pieces.shells, f.pieces.rivals = map[string]*shell{}, map[string]string{}
	var named []*shell
	var free []piece
	for _, file := range slices.Sorted(maps.Keys(f.pieces.of)) {
		for _, p := range f.pieces.of[file].pieces {
			a, ok := f.asked.Suit.Assembly(p.place.Name())
			if !ok {
				free = append(free, p)
				continue
			}
			i := slices.IndexFunc(named, func(s *shell) bool { return s.name == a.Name })
			if i < 0 {
				i, named = len(named), append(named, &shell{name: a.Name, named: true})
			}
			named[i].members = append(named[i].members, p)
		}
	}
	for _, s := range append(named, f.touching(free)...) {
		for _, m := range s.members {
			if len(s.members) > 1 {
				f.pieces.shells[m.place.Name()] = s
			}
		}
	}
	return f.pieces.shells
}

// touching returns the shells that pieces make which nobody named. Of two
// versions of a piece that with the shorter name counts: "top", not "top (1)".
func (f *folder) touching(free []piece) []*shell {
	slices.SortStableFunc(free, func(a, b piece) int { return cmp.Compare(len(a.place.Name()), len(b.place.Name())) })
	known := f.pieces.met
	f.pieces.met = map[[2]string]assembly.Contact{}
	keys := make([]string, len(free))
	for i, p := range free {
		keys[i] = f.key(p)
	}
	var contacts []assembly.Contact
	for i, a := range free {
		for j, b := range free[i+1:] {
			pair := [2]string{keys[i], keys[i+1+j]}
			c, ok := known[pair]
			if !ok {
				c = f.meet(a, b)
			}
			f.pieces.met[pair] = c
			if c != (assembly.Contact{}) && !f.unlike(a, b) {
				c.A, c.B = i, i+1+j
				contacts = append(contacts, c)
			}
		}
	}
	var shells []*shell
	taken := make([]bool, len(free))
	for _, group := range assembly.Groups(len(free), contacts) {
		s := &shell{}
		for _, i := range group {
			taken[i] = true
			s.members = append(s.members, free[i])
		}
		slices.SortFunc(s.members, func(a, b piece) int { return cmp.Compare(a.place.Name(), b.place.Name()) })
		s.name = nameOf(s.members)
		shells = append(shells, s)
	}
	for _, c := range contacts {
		a, b := free[c.A].place.Name(), free[c.B].place.Name()
		switch {
		case !c.Rivals || taken[c.A] == taken[c.B]:
		case taken[c.A]:
			f.pieces.rivals[b] = a
		default:
			f.pieces.rivals[a] = b
		}
	}
	return shells
}

// meet says how two pieces touch, in the units that suit.toml names.
func (f *folder) meet(a, b piece) assembly.Contact {
	if a.rims == nil || b.rims == nil {
		return assembly.Contact{}
	}
	c, _ := assembly.Touch(a.drawn(f.unit(a)), b.drawn(f.unit(b)))
	return c
}

func (f *folder) unit(p piece) string { return f.asked.Brief(p.place.Name()).Unit }

// key names a piece by its bytes and its unit.
func (f *folder) key(p piece) string {
	return hex.EncodeToString(p.sum[:]) + "/" + p.place.Member + "/" + f.unit(p)
}

// region returns what suit.toml, or else its name, says that a part covers.
func (f *folder) region(p piece) (name, side string) {
	region := f.asked.Brief(p.place.Name()).Region
	if region.Name == "" {
		region.Name, region.Side, _, _ = guess.FromName(p.place.Name())
	}
	if region.Name == "" || !guess.HasSides(region.Name) {
		region.Side = ""
	}
	return region.Name, region.Side
}

// unlike reports whether two parts are worn in different places: where a thigh
// was drawn to meet a greave, or a left boot lies beside a right one, they are
// no pieces of one shell.
func (f *folder) unlike(a, b piece) bool {
	region, side := f.region(a)
	other, otherSide := f.region(b)
	return region != "" && other != "" && region != other || side != "" && otherSide != "" && side != otherSide
}

// nameOf makes a name up: "boot-foot + boot-shaft".
func nameOf(members []piece) string {
	const most = 3
	var names []string
	for _, m := range members {
		base := path.Base(m.place.Name())
		names = append(names, strings.TrimSuffix(base, path.Ext(base)))
	}
	if more := len(names) - most; more > 1 {
		names = append(names[:most], fmt.Sprintf("%d more", more))
	}
	return strings.Join(names, " + ")
}

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
	if !f.pieces.surveyed {
		return // nothing was looked into yet
	}
	after := f.shellKeys()
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
	if f.pieces.surveyed {
		for name, s := range f.shells() {
			keys[name] = f.shellKey(s)
		}
	}
	return keys
}

// shellKey names a shell by the bytes of its pieces.
func (f *folder) shellKey(s *shell) string {
	key := s.name
	for _, m := range s.members {
		key += "\n" + m.place.Name() + "\n" + f.key(m)
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
	for _, r := range f.allRows() {
		if r.Findings != nil && concerns(r.Findings, file) {
			f.pieces.stale[r.Place.Part] = true
		}
	}
	delete(f.pieces.stale, file)
	var done []outcome
	for _, mate := range slices.Sorted(maps.Keys(f.pieces.stale)) {
		if !f.outdated(mate) {
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

// concerns reports whether findings say something of a file that was not judged
// together with theirs.
func concerns(f *analysis.Findings, file string) bool {
	if f.Assembly != nil && slices.ContainsFunc(f.Assembly.Apart, func(name string) bool {
		return name == file || strings.HasPrefix(name, file+"/")
	}) {
		return true
	}
	return slices.ContainsFunc(f.Warnings, func(w analysis.Warning) bool { return w.Code == "assembly-rival" })
}

// outdated reports whether a piece of a file has no report of its bytes and its
// shell as they are known.
func (f *folder) outdated(file string) bool {
	return slices.ContainsFunc(f.pieces.of[file].pieces, func(p piece) bool {
		want, err := analysis.Fingerprint(p.sum, f.brief(p.place), version)
		have, ok := report.Fingerprint(p.place)
		return err == nil && (!ok || have != want)
	})
}

// together returns the shell that a part, which was loaded, is a piece of, and
// which piece it is; nil where it is none.
func (f *folder) together(ctx context.Context, place report.Place, own *mesh.Loaded) (*analysis.Whole, int, error) {
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
