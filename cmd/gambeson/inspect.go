package main

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"slices"
	"time"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/cmd/gambeson/machine"
	"gambeson/report"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/suit"
)

// outcome is what became of one part.
type outcome struct {
	row     suit.Row
	kept    bool // the report at hand still holds: nothing was done
	same    bool // it was not even looked at, since nothing at all has changed; its row says nothing
	crashed bool // the program failed on this part
	mate    bool // nobody asked: another piece of its shell was looked into

	fingerprint string   // of the report that now holds, "" where none does
	lay         digestOf // how that lies on the disk

	unwritten error // why its report could not be written, or nil
}

// inspect is the life of one part, once its file has come to rest: it is read,
// examined and reported on. A part that cannot be read gets a report that says
// why. An error means that there is no outcome: ctx ended, the file changed
// meanwhile (mesh.ErrChanging). Where the report could not be written the
// outcome says so.
func (f *folder) inspect(ctx context.Context, file *mesh.File, sum [32]byte, place disk.Place) (outcome, error) {
	brief := f.brief(place)
	fingerprint, err := analysis.Fingerprint(sum, brief, version)
	if err != nil {
		return outcome{}, err
	}
	lay := layOf(place) // before it is read: what comes later is seen as another
	if have, ok := paper.Fingerprint(place); ok && have == fingerprint {
		if row, ok := recall(place); ok {
			return outcome{row: row, kept: true, fingerprint: fingerprint, lay: lay}, nil
		}
	}
	ctx, end := machine.Patient(ctx, f.patience(file.Size()))
	defer end()
	defer f.begin(place.Part, f.patience(file.Size()))()
	defer f.room.GiveBack()
	before := paper.Previous(place)
	answer, err := f.examine(ctx, file, place, brief, before)
	if err == nil || !errors.Is(err, context.Canceled) || errors.Is(context.Cause(ctx), machine.ErrTooLong) {
		if changed := file.Steady(); changed != nil {
			return outcome{}, changed
		}
	}
	if err != nil {
		return f.refuse(ctx, place, fingerprint, err)
	}
	began := time.Now()
	document := compose(place, brief, fingerprint, answer)
	document.Workers = f.workers
	failed := f.write(place, document)
	if failed == nil {
		f.keep(place, brief, answer.Kept, &document.Findings)
	}
	f.timed(place, append(answer.Laps, analysis.Lap{Stage: "report", Took: time.Since(began)}))
	return outcome{row: suit.Row{Place: place, Findings: &document.Findings}, fingerprint: fingerprint, lay: layOf(place), unwritten: failed}, nil
}

// timed logs how long each stage of the life of a part took.
func (f *folder) timed(place disk.Place, laps []analysis.Lap) {
	line := f.log.Debug().Str("event", "timed").Str("file", place.Name())
	for _, l := range laps {
		line.Dur(l.Stage+"_ms", l.Took)
	}
	line.Msg("how long the stages of a part took")
}

// errFailed wraps what the program itself stumbled over.
var errFailed = errors.New("the program failed on this file")

// examine reads and examines one part. A fault of the program's own ends this
// part only.
func (f *folder) examine(ctx context.Context, file *mesh.File, place disk.Place, brief analysis.Brief, before *analysis.Findings) (a *analysis.Answer, err error) {
	defer func() {
		if r := recover(); r != nil {
			a, err = nil, fmt.Errorf("%w: %v\n%s", errFailed, r, debug.Stack())
		}
	}()
	began := time.Now()
	loaded, ok := f.take(file, place.Member)
	if !ok {
		if loaded, err = aside(ctx, f.meanwhile, func() (*mesh.Loaded, error) { return load(ctx, file, place.Member) }); err != nil {
			return nil, err
		}
	}
	read := analysis.Lap{Stage: "read", Took: time.Since(began)}
	defer func() {
		if a != nil {
			a.Laps = slices.Insert(a.Laps, 0, read)
		}
	}()
	whole, i, err := f.together(ctx, place, loaded)
	if err != nil {
		return nil, err
	}
	triangles := loaded.Mesh.Triangles()
	if whole != nil {
		triangles += whole.Triangles()
	}
	f.room.Take(triangles)
	return aside(ctx, f.meanwhile, func() (*analysis.Answer, error) {
		if whole != nil {
			return whole.Examine(ctx, loaded, i, brief, before, f.workers)
		}
		return analysis.Examine(ctx, loaded, brief, before, f.workers)
	})
}

// refuse reports that a part could not be read, and why. An error that says
// nothing about the part comes back as it is.
func (f *folder) refuse(ctx context.Context, place disk.Place, fingerprint string, why error) (outcome, error) {
	var unreadable *mesh.ReadError
	r := &answer.Refusal{}
	switch {
	case errors.As(why, &unreadable):
		r.Where, r.Cause, r.Remedy = unreadable.Place, unreadable.Cause, unreadable.Remedy
	case errors.Is(why, errFailed):
		f.log.Error().Str("event", "part_failed").Str("file", place.Name()).AnErr("err", why).Msg("the program failed on a part")
		r.Cause, r.Remedy = "the program itself failed on this file", "please send the file to the people who make gambeson; the other parts are not affected"
	case errors.Is(context.Cause(ctx), machine.ErrTooLong):
		r.Cause, r.Remedy = "looking into it took too long and was given up", "very many triangles, openings or loose pieces take that long: save a simpler version of it and try again"
	default:
		return outcome{}, why
	}
	findings := refused(place.Name(), r)
	d := report.Document{Fingerprint: fingerprint, Refusal: r}
	d.Findings = findings
	failed := f.write(place, d)
	o := outcome{row: suit.Row{Place: place, Refusal: r}, crashed: errors.Is(why, errFailed), unwritten: failed}
	if fingerprint != "" {
		o.fingerprint, o.lay = fingerprint, layOf(place)
	}
	return o, nil
}

// refused returns the findings of a part that could not be read.
func refused(name string, r *answer.Refusal) analysis.Findings {
	f := analysis.Refused(name, join(r.Where, r.Cause, r.Remedy))
	f.Unreadable = &analysis.Unreadable{Where: r.Where, Cause: r.Cause, Remedy: r.Remedy}
	return f
}

// write writes a part's report, unless another process holds the folder.
func (f *folder) write(place disk.Place, d report.Document) error {
	if f.readOnly {
		return nil
	}
	return report.Write(place, d)
}

// compose makes the report's document of an answer: the files get their names.
func compose(place disk.Place, brief analysis.Brief, fingerprint string, a *analysis.Answer) report.Document {
	d := report.Document{Fingerprint: fingerprint}
	d.Findings, d.Brief, d.Hows = a.Findings, brief, hows()
	d.Outlines, d.Shown, d.Parted = a.Outlines, a.Shown, a.Parted
	d.Findings.Part = place.Name()
	d.Findings.Fingerprint = fingerprint
	if brief.Assembly != "" {
		d.Own = a.Own
	}
	if a.Panel != nil {
		d.Shown, d.Panel = a.Rest, a.Panel
	}
	add := func(file *string, m *mesh.Mesh) {
		d.Bands = append(d.Bands, report.Solid{File: *file, Mesh: m})
		*file = place.Under(*file)
	}
	for i, band := range a.Bands {
		add(&d.Findings.Bands[i].File, band)
	}
	if t := d.Findings.Testing; t != nil && t.Next != nil {
		t.Next.Band = place.Under(t.Next.Band)
		for i, file := range t.Next.With {
			t.Next.With[i] = place.Under(file)
		}
	}
	for i, single := range a.Singles {
		add(&d.Findings.Singles[i].File, single)
	}
	for i, piece := range a.Pieces {
		add(&d.Findings.Bed.Pieces[i].File, piece)
	}
	if d.Findings.Fit != nil {
		for _, e := range d.Findings.Fit.Entries {
			if e.Panel != nil && e.Panel.File != "" {
				add(&e.Panel.File, a.Panel)
				add(&e.Panel.Rest, a.Rest)
			}
		}
	}
	return d
}
