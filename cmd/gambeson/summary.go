package main

import (
	"cmp"
	"encoding/binary"
	"encoding/json"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	together "gambeson/analysis/suit"
	"gambeson/analysis/suit/joint"
	"gambeson/config"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/suit"
	"gambeson/watcher"
)

// sum writes SUIT.md as sumAtWork does, and lets go of what was read for that
// where it is much.
func (f *folder) sum() (lost []string, err error) {
	before := f.summed
	lost, err = f.sumAtWork(f.toCome())
	if f.summed != before && len(f.rows) > mostAtHand && f.daemon {
		f.rest()
	}
	return lost, err
}

// sumAtWork writes SUIT.md, unless it says already all that there is to say; come is
// what toCome lists. The parts whose reports are no longer where they were are
// returned: without them it is left as it is. It changes nothing that the work on a
// part goes by.
func (f *folder) sumAtWork(come unlooked) (lost []string, err error) {
	if f.readOnly {
		return nil, nil
	}
	if now := f.summary(come); now == f.summed && now != (digestOf{}) {
		f.said, f.missed = len(come.looked), suit.LoadsMissed(f.root) // SUIT.md may be from before this start
		return nil, nil
	}
	rows := f.allRows()
	s := suit.Suit{Wearer: f.asked.Wearer.Name, Brief: f.asked.Brief(""), Problems: f.problems(), Hows: hows(), ToCome: come.looked, Watched: f.daemon, Foreign: come.foreign, Printed: map[string]suit.Took{}}
	for _, m := range come.mistaken {
		s.Mistaken = append(s.Mistaken, suit.Mistaken{File: m.File, Meant: m.Meant})
	}
	var found []*analysis.Findings
	for _, r := range rows {
		if r.recalled() == nil && r.Refusal == nil || f.deprived(r) {
			lost = append(lost, r.Place.Part)
		}
		s.Rows, found = append(s.Rows, r.Row), append(found, r.Findings)
	}
	if len(lost) > 0 {
		return lost, nil
	}
	for _, name := range slices.Sorted(maps.Keys(f.gone)) {
		if f.reported(f.gone[name]) { // else it went along, as with its folder
			g := suit.Gone{Place: f.gone[name], Now: renamed(f.gone[name], found)}
			f.carryNotes(g, rows)
			s.Gone = append(s.Gone, g)
		}
	}
	if !come.blind {
		s.Misnamed, s.Unmatched = f.unmatched(s, come.meshes)
	}
	s.Judged = together.Judge(found, s.Brief)
	s.Joints = joint.Between(found, s.Brief.Wearer)
	s.Kin = f.kinAmong(f.byAge(rows))
	for _, e := range f.asked.Logbook.Printed {
		s.Printed[e.Part] = suit.Took{Hours: e.Hours, Grams: e.Grams} // the last print counts
	}
	s.Dropped = f.dropLoads(rows)
	if err := suit.Write(f.root, s); err != nil {
		return nil, err
	}
	f.missed = len(s.Dropped.Loads) > 0
	f.summed, f.said = f.summary(come), len(come.looked)
	return nil, nil
}

// unlooked is what lies in a folder and was not looked into.
type unlooked struct {
	looked   []string // mesh files that will be, relative to root, with slashes
	blind    bool     // the folder cannot be listed
	meshes   []string // all mesh files, be they looked into, relative to root, with slashes
	foreign  []string // files of formats that are not read, relative to root, with slashes
	mistaken []config.Misnamed
}

// toCome lists what was not looked into yet: of the meshes those that the watcher hands
// over. What is another suit's is left out, but of the list of all meshes.
func (f *folder) toCome() (u unlooked) {
	ours := map[string]bool{} // by folder
	own := func(path string) bool {
		is, known := ours[filepath.Dir(path)]
		if !known {
			is = config.RootWithin(path, f.root) == f.root
			ours[filepath.Dir(path)] = is
		}
		return is
	}
	err := f.walk(f.root, func(path string) { // who looks for parts says what cannot be read
		relative, err := filepath.Rel(f.root, path)
		if err != nil {
			return
		}
		part := filepath.ToSlash(relative)
		if mesh.Known(part) {
			u.meshes = append(u.meshes, part)
		}
		if _, looked := f.rows[part]; looked {
			return
		}
		foreign, _ := suit.Foreign(part)
		if !foreign && !mesh.Known(part) || !own(path) {
			return
		}
		if _, err := watcher.StampOf(f.root, path); err != nil {
			return
		}
		if foreign {
			u.foreign = append(u.foreign, part)
		} else {
			u.looked = append(u.looked, part)
		}
	}, func(string, error) {})
	u.blind = err != nil
	u.mistaken = config.Mistaken(f.root)
	return u
}

// reported tells that the report of a part lies where it was written.
func (f *folder) reported(p disk.Place) bool {
	_, err := os.Stat(filepath.Join(f.root, filepath.FromSlash(p.Report())))
	return err == nil
}

// deprived tells that somebody took a report away, or what belongs to it, and left
// the part.
func (f *folder) deprived(r *row) bool {
	if r.lay == (digestOf{}) || layOf(r.Place) != (digestOf{}) {
		return false
	}
	_, err := os.Stat(f.path(r.Place.Part))
	return err == nil
}

// mostAtHand is of how many files the findings may stay in memory while there is
// work: some 10 MB.
const mostAtHand = 1000

// problems tells of the TOML files that cannot be used, and that all else that is said
// goes by what they said before.
func (f *folder) problems() (all []suit.Problem) {
	for _, k := range f.kept {
		by := "by what the file said before"
		if k.Read.IsZero() {
			by = "as if the file said nothing"
		}
		all = append(all, suit.Problem{File: k.File, Text: strings.TrimSuffix(k.Errs.Error(), ".") + ". Mend that before you do anything else that is said here: all of it, steps, scales and reports, goes " + by, Kept: k.Values()})
	}
	return all
}

// summary names all that SUIT.md is made of, and how it lies on the disk. It is
// zero where that cannot be told. So much is to come.
func (f *folder) summary(come unlooked) digestOf {
	if f.asking == (digestOf{}) {
		return digestOf{}
	}
	all := [][]byte{f.asking[:], binary.LittleEndian.AppendUint64(nil, uint64(len(come.looked)))}
	add := func(text string) { all = append(all, []byte(text)) }
	for _, name := range come.looked {
		add(name)
	}
	for _, file := range append(suit.Files(), suit.LoadsIndex) {
		lay := layOfFiles(f.root, file)
		all = append(all, lay[:])
	}
	for _, m := range come.mistaken {
		add(m.File)
	}
	for _, name := range come.foreign {
		add(name)
	}
	for _, p := range f.problems() {
		add(p.File + "\n" + p.Text + "\n" + p.Kept)
	}
	for _, part := range f.inOrder() {
		all = append(all, binary.LittleEndian.AppendUint64([]byte(part), uint64(f.changed(part))))
		for i := range f.rows[part] {
			r := &f.rows[part][i]
			if r.lay == (digestOf{}) {
				return digestOf{}
			}
			add(r.Place.Member)
			add(r.fingerprint)
			all = append(all, r.lay[:])
		}
	}
	for _, name := range slices.Sorted(maps.Keys(f.gone)) {
		add(name)
	}
	return digestBytes(all...)
}

// inOrder lists the files that were looked into, by name.
func (f *folder) inOrder() []string { return slices.Sorted(maps.Keys(f.rows)) }

// changed is when a file was last changed, in ns since 1970.
func (f *folder) changed(part string) int64 {
	if s, known := f.seen[part]; known {
		return s.stamp.Mtime
	}
	if info, err := os.Stat(f.path(part)); err == nil {
		return info.ModTime().UnixNano()
	}
	return 0
}

// byAge lists the findings of parts, those of the oldest files first.
func (f *folder) byAge(rows []*row) (found []*analysis.Findings) {
	rows = slices.Clone(rows)
	age := map[string]int64{}
	for part := range f.rows {
		age[part] = f.changed(part)
	}
	slices.SortStableFunc(rows, func(a, b *row) int { return cmp.Compare(age[a.Place.Part], age[b.Place.Part]) })
	for _, r := range rows {
		found = append(found, r.Findings)
	}
	return found
}

// renamed is the name that a part which is gone bears now: that of the one part with
// the same mesh, "" where none or several have it.
func renamed(gone disk.Place, found []*analysis.Findings) string {
	was := paper.Previous(gone)
	name := ""
	for _, now := range found {
		switch {
		case !drawnAlike(was, now):
		case name != "":
			return ""
		default:
			name = now.Part
		}
	}
	return name
}

// carryNotes copies what the person wrote in the report of a part that is gone into that
// of the part that its file is now.
func (f *folder) carryNotes(g suit.Gone, rows []*row) {
	i := slices.IndexFunc(rows, func(r *row) bool { return r.Place.Name() == g.Now })
	if g.Now == "" || i < 0 || rows[i].alone {
		return
	}
	r := rows[i]
	before := layOf(r.Place)
	switch done, err := paper.Carry(g.Place, r.Place); {
	case err != nil:
		f.log.Warn().Str("event", "write_failed").Str("file", r.Place.Name()).Err(err).Msg("cannot copy notes into the report of a part that was renamed; they are where they were")
	case done:
		if r.lay == before { // nothing else has changed it
			r.lay = layOf(r.Place)
		}
		f.log.Info().Str("event", "notes_copied").Str("file", r.Place.Name()).Str("from", g.Place.Name()).Msg("notes were copied into the report of a part that was renamed")
	}
}

// drawnAlike tells that two findings are of the same mesh as it lies in its file, in
// whichever unit each was read: one that suit.toml names goes with the old name.
func drawnAlike(a, b *analysis.Findings) bool {
	if a == nil || b == nil || a.Mesh == nil || b.Mesh == nil || a.Shape == nil || b.Shape == nil {
		return false
	}
	if a.Mesh.Format != b.Mesh.Format || a.Mesh.Triangles != b.Mesh.Triangles { // most differ so, and looks take long
		return false
	}
	from, to := unitFactor(a), unitFactor(b)
	if from == to {
		look := lookOf(a)
		return look != "" && look == lookOf(b)
	}
	if len(a.Shape.Anchors) != len(b.Shape.Anchors) {
		return false
	}
	by := to / from
	far := 0.0 // the farthest coordinate of b
	for axis := range 3 {
		far = max(far, math.Abs(b.Shape.Low[axis]), math.Abs(b.Shape.High[axis]))
	}
	near := func(p, q float64) bool { return math.Abs(p*by-q) <= roundedUnit*far }
	for axis := range 3 {
		if !near(a.Shape.Low[axis], b.Shape.Low[axis]) || !near(a.Shape.High[axis], b.Shape.High[axis]) {
			return false
		}
	}
	for i, p := range a.Shape.Anchors {
		for axis := range p {
			if !near(float64(p[axis]), float64(b.Shape.Anchors[i][axis])) {
				return false
			}
		}
	}
	return true
}

// lookOf is all that findings say of the mesh of a part as it was read, "" where that
// cannot be said.
func lookOf(f *analysis.Findings) string {
	data, err := json.Marshal([]any{f.Mesh, f.Shape})
	if err != nil {
		return ""
	}
	return string(data)
}

// roundedUnit is how far reading a file in another unit may move a corner, as a share of
// the farthest coordinate: one rounding to float32 for the corner and one for the anchor
// made of it move it by 2⁻²⁴ each, in either file.
const roundedUnit = 4.0 / (1 << 24)

// unitFactor is how many mm one unit of the file of findings was read as.
func unitFactor(f *analysis.Findings) float64 {
	if f.Unit == nil || f.Unit.Factor == 0 {
		return 1
	}
	return f.Unit.Factor
}

// unmatched says which files the TOML files name that no part has, neither one of the
// meshes nor a member of them: apart those whose names are most likely mistyped or were
// changed.
func (f *folder) unmatched(s suit.Suit, meshes []string) (misnamed, others []string) {
	names := slices.Sorted(slices.Values(meshes))
	for _, r := range s.Rows {
		names = append(names, r.Place.Name())
	}
	now := map[string]string{}
	for _, g := range s.Gone {
		if g.Now != "" {
			now[g.Place.Name()] = g.Now
		}
	}
	for _, e := range f.asked.Unmatched(names, now) {
		if e.Slip {
			misnamed = append(misnamed, e.Error())
		} else {
			others = append(others, e.Error())
		}
	}
	return misnamed, others
}
