package main

import (
	"cmp"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/analysis/assembly"
	"gambeson/analysis/fit/guess"
	"gambeson/report/disk"
	"gambeson/report/paper"
)

// pieces is what is known of the parts of a folder as pieces of shells that
// come in several files.
type pieces struct {
	restored bool                  // from a snapshot; what has come since is to be surveyed
	surveyed bool                  // every file was looked at once
	of       map[string]recognised // by path of the file
	shells   map[string]*shell     // by name of the part; nil where to be found anew
	rivals   map[string]string     // by name of a part: the one that is in a shell instead of it
	contacts contacts              // how pieces were found to touch
	stale    map[string]bool       // files whose shell changed since they were looked into
	whole    struct {              // the shell looked into last
		key   string
		shell *analysis.Whole
	}
}

// shell is several pieces that make one.
type shell struct {
	name    string
	named   bool // in suit.toml
	members []piece
	// renamed are members that suit.toml names by names that they no longer have, the new
	// one by the old, and lost the sums of their bytes, by the old one.
	renamed, lost map[string]string
}

// brief is what is asked of a part: what its folder asks, and what the other
// pieces of its shell are.
func (f *folder) brief(place disk.Place) analysis.Brief {
	brief := f.asked.Brief(place.Name())
	brief.Calibration = f.calibration
	s := f.shells()[place.Name()]
	if s == nil {
		if f.lose(place, &brief); brief.Gone == nil && brief.Renamed == nil { // else it may be what lay between
			brief.Apart = f.apart(place)
		}
		brief.Rival = f.pieces.rivals[place.Name()]
		brief.Named = brief.Assembly != ""
		return brief
	}
	brief.Assembly, brief.Named = s.name, s.named
	brief.Renamed, brief.Lost = maps.Clone(s.renamed), maps.Clone(s.lost)
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
	for old, now := range s.renamed {
		if now == place.Name() {
			f.nameAs(old, &brief)
		}
	}
	f.asked.Join(&brief)
	f.lose(place, &brief)
	if _, _, _, told := guess.FromName(place.Name()); brief.Region.Name == "" && !told {
		shareGuess(&brief, s)
	}
	return brief
}

// nameAs takes over what suit.toml says of a part by the name that it had before, or else
// what that name tells.
func (f *folder) nameAs(old string, b *analysis.Brief) {
	share(b, f.asked.Brief(old))
	region, side, reason, ok := guess.FromName(old)
	if ok && b.Region.Name == "" {
		b.Region.Name, b.Region.Source, b.Region.Reason = region, "name", reason+" (of "+old+", as it was called)"
	}
	if b.Region.Side == "" {
		b.Region.Side = side
	}
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
	b.Glued = b.Glued || its.Glued
}

// apart lists the parts with which one that is a piece of no shell now was found
// to make one when its report was written, and of which it touches none.
func (f *folder) apart(place disk.Place) []string {
	before := f.joinedBefore(place)
	if before == nil || before.Named || f.isWhole(place) {
		return nil
	}
	own, _ := f.piece(place.Name())
	var names []string
	for _, name := range slices.Concat(before.Mates, before.Apart, before.Gone, slices.Sorted(maps.Keys(before.Renamed))) {
		other, there := f.piece(name)
		switch {
		case !there:
		case f.meet(keyed{own, f.key(own)}, keyed{other, f.key(other)}) != (assembly.Contact{}):
			return nil
		default:
			names = append(names, name)
		}
	}
	return names
}

// lose sets in the brief which parts, with which one was found to make a shell when its
// report was written, are no longer there under their names. One that has another name
// and is a piece of the same shell under that is not lost.
func (f *folder) lose(place disk.Place, brief *analysis.Brief) {
	before := f.joinedBefore(place)
	if before == nil || f.isWhole(place) {
		return
	}
	if a, named := f.asked.Suit.Assembly(place.Name()); named {
		for name, sum := range before.Sums { // SUIT.md says which it does not find
			if its, ok := f.asked.Suit.Assembly(name); ok && its.Name == a.Name && f.isLost(name, before) {
				lose(&brief.Lost, name, sum)
			}
		}
		return
	}
	if before.Named {
		return
	}
	shell := f.shells()[place.Name()]
	for _, name := range slices.Concat(before.Mates, before.Apart, before.Gone, slices.Sorted(maps.Keys(before.Renamed))) {
		if !f.isLost(name, before) {
			continue
		}
		now := f.calledNow(name, before.Sums[name], place.Name())
		switch {
		case shell != nil && slices.ContainsFunc(now, func(p piece) bool {
			return slices.ContainsFunc(shell.members, func(m piece) bool { return m.place == p.place })
		}):
			continue
		case len(now) == 1:
			lose(&brief.Renamed, name, now[0].place.Name())
		default:
			brief.Gone = append(brief.Gone, name)
		}
		if sum := before.Sums[name]; sum != "" {
			lose(&brief.Lost, name, sum)
		}
	}
}

// lose notes something of a part that is lost.
func lose(of *map[string]string, name, what string) {
	if *of == nil {
		*of = map[string]string{}
	}
	(*of)[name] = what
}

// takeRenamed adds to a shell that suit.toml names the pieces that have other names now
// than stand there, as their bytes tell, and that no other shell there has.
func (f *folder) takeRenamed(s *shell) {
	for _, m := range slices.Clone(s.members) {
		before := f.joinedBefore(m.place)
		if before == nil || !before.Named || before.Name != s.name {
			continue
		}
		for _, name := range slices.Sorted(maps.Keys(before.Sums)) {
			if a, ok := f.asked.Suit.Assembly(name); !ok || a.Name != s.name || s.renamed[name] != "" || !f.isLost(name, before) {
				continue
			}
			now := f.calledNow(name, before.Sums[name], m.place.Name())
			if len(now) != 1 || f.isWhole(now[0].place) {
				continue
			}
			if _, has := f.asked.Suit.Assembly(now[0].place.Name()); has {
				continue
			}
			s.members = append(s.members, now[0])
			lose(&s.renamed, name, now[0].place.Name())
			lose(&s.lost, name, before.Sums[name])
		}
	}
}

// isLost reports whether a part with which one made a shell before is no longer there
// under its name.
func (f *folder) isLost(name string, before *analysis.Assembly) bool {
	if _, there := f.piece(name); there {
		return false
	}
	// One that is back is gone until it was looked into, else its mates would be
	// looked into twice.
	_, err := os.Stat(filepath.Join(f.root, filepath.FromSlash(name)))
	return errors.Is(err, fs.ErrNotExist) || f.pieces.surveyed && strings.Contains(strings.ToLower(name), ".zip/") || slices.Contains(before.Gone, name)
}

// calledNow lists the pieces that have the bytes of a file that is gone, but for the one
// that asks. Of members of an archive, which have its sum, the path in it counts too.
func (f *folder) calledNow(name, sum, asks string) (now []piece) {
	if sum == "" {
		return nil
	}
	for _, r := range f.pieces.of {
		for _, p := range r.pieces {
			if hex.EncodeToString(p.sum[:]) == sum && p.place.Name() != asks && (p.place.Member == "" || strings.HasSuffix(name, "/"+p.place.Member)) {
				now = append(now, p)
			}
		}
	}
	return now
}

// isWhole reports whether suit.toml says that a part is a piece of no shell.
func (f *folder) isWhole(place disk.Place) bool {
	whole := f.asked.Suit.Pins(place.Name()).Whole
	return whole != nil && *whole
}

// joinedBefore is what the report at hand says of a part as a piece, nil where it
// is none.
func (f *folder) joinedBefore(place disk.Place) *analysis.Assembly {
	for i := range f.rows[place.Part] {
		if r := &f.rows[place.Part][i]; r.Place == place && r.fingerprint != "" {
			return r.joined
		}
	}
	if before := paper.Previous(place); before != nil {
		return before.Assembly
	}
	return nil
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
				if !f.isWhole(p.place) {
					free = append(free, p)
				}
				continue
			}
			i := slices.IndexFunc(named, func(s *shell) bool { return s.name == a.Name })
			if i < 0 {
				i, named = len(named), append(named, &shell{name: a.Name, named: true})
			}
			named[i].members = append(named[i].members, p)
		}
	}
	for _, s := range named {
		f.takeRenamed(s)
		free = slices.DeleteFunc(free, func(p piece) bool {
			return slices.ContainsFunc(s.members, func(m piece) bool { return m.place == p.place })
		})
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
	contacts := f.contactsOf(free)
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

func (f *folder) unit(p piece) string { return f.asked.Suit.Pins(p.place.Name()).Unit }

// key names a piece by its bytes and its unit.
func (f *folder) key(p piece) digestOf {
	return digestBytes(p.sum[:], []byte(p.place.Member), []byte(f.unit(p)))
}

// region returns what suit.toml, or else its name, says that a part covers.
func (f *folder) region(p piece) (name, side string) {
	pins := f.asked.Suit.Pins(p.place.Name())
	name, side = pins.Region, pins.Side
	if name == "" {
		name, side, _, _ = guess.FromName(p.place.Name())
	}
	if name == "" || !guess.HasSides(name) {
		side = ""
	}
	return name, side
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
