package main

import (
	"crypto/sha256"
	"encoding/json"
	"time"

	"gambeson/analysis"
	"gambeson/report/disk"
	"gambeson/watcher"
)

// seen is how a file was when it was looked into.
type seen struct {
	stamp watcher.Stamp
	sum   [sha256.Size]byte
	// sure tells that equal stamps mean equal bytes: the stamp was not of the very
	// moment in which the bytes were read, when they could change once more
	// without it.
	sure bool
	list digestOf // how the list of an archive lay, zero for other files
}

// before takes note of a file that is about to be looked into.
func (f *folder) before(part string) (s seen, ok bool) {
	now := time.Now()
	stamp, err := watcher.StampOf(f.root, f.path(part))
	return seen{stamp: stamp, sure: !stamp.Racy(now)}, err == nil
}

// note takes note of a file that was looked into and had these bytes, unless it
// has changed since before.
func (f *folder) note(part string, s seen, sum [sha256.Size]byte) {
	delete(f.seen, part)
	if !f.stands(part, s) || sum == [sha256.Size]byte{} {
		return
	}
	s.sum, s.list = sum, layOfList(disk.Place{Root: f.root, Part: part})
	f.seen[part] = s
}

// stands tells that a file lies as it did.
func (f *folder) stands(part string, s seen) bool {
	now, err := watcher.StampOf(f.root, f.path(part))
	return err == nil && now == s.stamp
}

// unchanged tells that a file and all that was written of it lie as they did
// when that was known to hold.
func (f *folder) unchanged(part string, stamp watcher.Stamp) bool {
	s, known := f.seen[part]
	if !known || !s.sure || s.stamp != stamp || len(f.rows[part]) == 0 || s.list != layOfList(disk.Place{Root: f.root, Part: part}) {
		return false
	}
	for i := range f.rows[part] {
		if r := &f.rows[part][i]; r.lay == (digestOf{}) || r.lay != layOf(r.Place) {
			return false
		}
	}
	return true
}

// asBefore returns the outcomes of a file of which nothing has changed, neither
// the bytes nor the reports nor the question, without looking into it.
func (f *folder) asBefore(part string) ([]outcome, bool) {
	if !f.daemon {
		return nil, false
	}
	stamp, err := watcher.StampOf(f.root, f.path(part))
	if err != nil || !f.unchanged(part, stamp) {
		return nil, false
	}
	var done []outcome
	for i := range f.rows[part] {
		r := &f.rows[part][i]
		if !f.asksTheSame(r, f.seen[part].sum) {
			return nil, false
		}
		done = append(done, outcome{row: r.Row, kept: true, same: true})
	}
	for i := range f.rows[part] {
		f.rows[part][i].asked = f.asking
	}
	return done, true
}

// asksTheSame tells that what is asked of a part is what its report answers.
func (f *folder) asksTheSame(r *row, sum [sha256.Size]byte) bool {
	if r.asked == f.asking && f.asking != (digestOf{}) && !f.isJoined(r) {
		return true
	}
	fingerprint, err := analysis.Fingerprint(sum, f.brief(r.Place), version)
	return err == nil && fingerprint == r.fingerprint
}

// isJoined tells that the answers of a part depend on other parts.
func (f *folder) isJoined(r *row) bool {
	name := r.Place.Name()
	return r.joined != nil || r.rival || f.shells()[name] != nil || f.pieces.rivals[name] != ""
}

// askedNow names what the TOML files, and prints that were made, ask of all
// parts, zero where that cannot be told.
func (f *folder) askedNow() digestOf {
	text, err := json.Marshal([]any{version, memoryVersion, f.asked.Suit, f.asked.Wearer, f.asked.Logbook, f.calibration})
	if err != nil {
		return digestOf{} // no part is trusted
	}
	return digestBytes(text)
}
