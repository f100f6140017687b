package main

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/suit"
	"gambeson/watcher"
)

// row is what is remembered of a part. What its report says is read from the disk
// when SUIT.md is written again.
type row struct {
	suit.Row             // of Findings only what SUIT.md needs, and only until the daemon has rested
	fingerprint string   // of its report, "" where that does not hold
	asked       digestOf // by which TOML files it was found to hold: see folder.asking
	lay         digestOf // how its report lay on the disk then; zero where there is none
	alone       bool     // the report could not be written: Findings are all there is
	warned      bool     // Findings hold warnings
	warnings    []string // their texts; nil where they are to be read
	joined      *analysis.Assembly
	rival       bool // it was said to be another version of a piece
}

// digestOf tells things apart by what they are.
type digestOf [16]byte

func digestBytes(parts ...[]byte) (d digestOf) {
	h := sha256.New()
	for _, p := range parts {
		_ = binary.Write(h, binary.LittleEndian, int64(len(p))) // a hash takes all
		h.Write(p)
	}
	copy(d[:], h.Sum(nil))
	return d
}

// rowOf is the row of an outcome.
func (f *folder) rowOf(o outcome) row {
	r := row{Row: o.row, fingerprint: o.fingerprint, asked: f.asking, lay: o.lay, alone: f.readOnly || o.unwritten != nil}
	if r.alone {
		r.fingerprint, r.lay = "", digestOf{}
	}
	r.take(o.row.Findings)
	return r
}

// take notes what findings say.
func (r *row) take(found *analysis.Findings) {
	r.Findings = found
	r.warned, r.warnings, r.joined, r.rival = false, nil, nil, false
	if found == nil {
		return
	}
	for _, w := range found.Warnings {
		if w.Level == analysis.LevelWarning {
			r.warned = true
			r.warnings = append(r.warnings, w.Text)
		}
		r.rival = r.rival || w.Code == "assembly-rival"
	}
	r.joined = found.Assembly
	r.Findings = together.Needed(found)
}

// concerns reports whether the findings say something of a file, of these pieces, that
// was not judged together with theirs.
func (r *row) concerns(file string, pieces []piece) bool {
	if r.rival || r.joined == nil {
		return r.rival
	}
	j := r.joined
	lost := slices.Concat(j.Gone, slices.Collect(maps.Keys(j.Renamed)))
	return slices.ContainsFunc(slices.Concat(j.Apart, lost, slices.Collect(maps.Values(j.Renamed))), func(name string) bool {
		return name == file || strings.HasPrefix(name, file+"/")
	}) || slices.ContainsFunc(pieces, func(p piece) bool {
		return slices.ContainsFunc(lost, func(name string) bool { return j.Sums[name] == hex.EncodeToString(p.sum[:]) })
	})
}

// setRows replaces what is known of the parts in a file, none where it is gone.
func (f *folder) setRows(part string, rows []row) {
	delete(f.rows, part)
	delete(f.linked, part)
	if rows == nil {
		return
	}
	f.rows[part] = rows
	for i := range rows {
		if rows[i].rival || rows[i].joined != nil {
			f.linked[part] = true
		}
	}
}

// recalled reads the findings of a part from its report, unless they are at hand;
// nil where they are no longer there.
func (r *row) recalled() *analysis.Findings {
	if r.Findings == nil && r.Refusal == nil {
		if found := paper.Previous(r.Place); found != nil && found.Fingerprint == r.fingerprint {
			r.take(found)
		}
	}
	return r.Findings
}

// rest lets go of all that can be read again.
func (f *folder) rest() {
	for _, rows := range f.rows {
		for i := range rows {
			if r := &rows[i]; !r.alone {
				r.Findings = nil
			}
		}
	}
	f.pieces.rest()
}

// allRows lists what is known of every part, by name of its file.
func (f *folder) allRows() []*row {
	var rows []*row
	for _, part := range f.inOrder() {
		for i := range f.rows[part] {
			rows = append(rows, &f.rows[part][i])
		}
	}
	return rows
}

// layOf tells how the report of a part lies on the disk: its size, times and
// place there, and those of what belongs to it. It is zero where one is missing.
func layOf(p disk.Place) digestOf {
	return layOfFiles(p.Root, p.Report(), p.Page(), p.Under("findings.json"))
}

// layOfList is the same of the list of an archive, zero for other files.
func layOfList(p disk.Place) digestOf { return layOfFiles(p.Root, p.Report(), p.Page()) }

func layOfFiles(root string, files ...string) digestOf {
	var all []byte
	for _, file := range files {
		s, err := watcher.StampOf(root, filepath.Join(root, filepath.FromSlash(file)))
		if err != nil {
			return digestOf{}
		}
		all, _ = binary.Append(all, binary.LittleEndian, s) // a struct of plain numbers
	}
	return digestBytes(all)
}
