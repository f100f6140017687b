package analysis

import (
	"crypto/sha256"
	"slices"

	"gambeson/analysis/cost"
	"gambeson/analysis/fit"
)

// Kept is what of an examination does not depend on who wears the part: with it
// another wearer is judged at once, without the mesh.
type Kept struct {
	Fingerprint string     `json:"fingerprint"` // of the report that it was found for
	Asked       string     `json:"asked"`       // what the geometry depends on: see Geometry
	Worn        string     `json:"worn"`        // by whom, and over what: see Worn
	Inside      fit.Packed `json:"inside"`
	// Before and After are the warnings that do not come from the fit: those
	// found before it, and those of bands, pieces and hours.
	Before []Warning `json:"before"`
	After  []Warning `json:"after"`

	wearEnds int // number of warnings when the fit had given its own
}

// Seal says of which report and question the kept geometry is, once its findings
// are whole.
func (k *Kept) Seal(brief Brief, version string, f *Findings) (err error) {
	if k.Asked, err = Geometry(brief, version); err != nil {
		return err
	}
	k.Fingerprint = f.Fingerprint
	k.After = slices.Clone(f.Warnings[min(k.wearEnds, len(f.Warnings)):])
	k.Worn, err = Worn(brief)
	return err
}

// Worn returns what the verdict depends on beside the geometry: the wearer and
// what lies between skin and shell.
func Worn(brief Brief) (string, error) {
	return Fingerprint([sha256.Size]byte{}, Brief{Wearer: brief.Wearer, Shell: brief.Shell}, "")
}

// Geometry returns what the geometry of an answer depends on beside the bytes of
// the mesh: the brief without the wearer, the padding and what the logbook says.
// It returns an error only where the brief holds a number that is not finite.
func Geometry(brief Brief, version string) (string, error) {
	brief.Wearer, brief.Shell = Wearer{}, Shell{}
	brief.Calibration = cost.Calibration{}
	brief.Tryons = nil
	return Fingerprint([sha256.Size]byte{}, brief, version)
}

// Judge returns the findings of an earlier report with the verdict on the wearer
// of a brief in place of theirs. What follows from it in the mesh (the panel,
// whether tests are worth their hours) is left out, and bands, hours and the scales
// of its own for girth and length are those that lie there. ok is false where the kept
// geometry cannot tell.
func (k *Kept) Judge(before *Findings, brief Brief) (f Findings, ok bool) {
	in, ok := k.Inside.Unpack()
	if !ok || before.Region == nil || before.Region.Name != in.Region.Name {
		return f, false
	}
	f = *before
	f.Fit, f.Testing = nil, nil
	f.notePrinted(before, brief)
	f.Warnings = slices.Clone(k.Before)
	brief.Region = *before.Region
	brief = f.unglued(brief)
	brief.Strapped = brief.Strapped || f.OnlyCovers()
	brief.Halves = brief.Halves && !f.Says(uncut)
	if j, known := f.judge(in, brief, nil); known {
		if j.answer.TwoWay != nil && before.Fit != nil {
			f.Fit.TwoWay = before.Fit.TwoWay // as it was offered, until it is proved anew
		}
		f.warnWear(j.answer, j.brief)
	}
	f.Warnings = append(f.Warnings, k.After...)
	return f, true
}
