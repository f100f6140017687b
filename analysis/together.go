package analysis

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"

	"gambeson/analysis/assembly"
	"gambeson/analysis/cavity"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Assembly says of which shell the part is a piece.
type Assembly struct {
	Name  string   `json:"name,omitempty"`  // "" where it is a piece of none
	Named bool     `json:"named,omitempty"` // by suit.toml; else the faces were found to meet
	Mates []string `json:"mates,omitempty"`
	// Along: the pieces part it along a way through it, so that they can be closed
	// round the body.
	Along bool `json:"along,omitempty"`
	// Apart names the files with which it made one shell before and which it
	// no longer meets.
	Apart []string `json:"apart,omitempty"`
	// Gone names the files with which it made one shell before and which are no
	// longer there.
	Gone []string `json:"gone,omitempty"`
	// Renamed are those that are there under another name, the new one by the old, and
	// are not judged with it any more, or only as their bytes tell.
	Renamed map[string]string `json:"renamed,omitempty"`
	// Sums of the bytes, hexadecimal, of its mates and of those that are gone or
	// renamed, by name: a file is known by them when it is called otherwise.
	Sums map[string]string `json:"sums,omitempty"`
}

// Whole is the shell that several files make together. It keeps what was found
// in it, so that the next of its files need not be searched again. It is not
// for use by several goroutines at once.
type Whole struct {
	mesh  *mesh.Mesh // in mm
	alone []bool     // by piece: it meets no other
	apart []bool     // by piece: it lies clear of all others
	seams []r3.Vec   // points of the cuts, in mm

	key   search     // the last one
	shown *mesh.Mesh // at its scale; nil before the first
	found []cavity.Cavity
}

// search is what a search for cavities depends on.
type search struct {
	percent float64
	region  string
	forced  bool
	axis    r3.Vec
}

// Together joins the meshes of files that are pieces of one shell, as they lie.
// units names for each what suit.toml says of its unit, "" where it says
// nothing.
func Together(pieces []*mesh.Loaded, units []string) *Whole {
	var drawn []*mesh.Mesh
	for i, l := range pieces {
		drawn = append(drawn, InMillimetres(l, units[i]))
	}
	j := assembly.Join(drawn...)
	return &Whole{mesh: j.Mesh, alone: j.Alone, apart: j.Apart, seams: j.Seams}
}

// Triangles is how many triangles all pieces have together.
func (w *Whole) Triangles() int { return w.mesh.Triangles() }

// InMillimetres returns a mesh as loaded from a file in mm, where suit.toml names
// another unit than the file, or none (""). It is the mesh of l itself where that
// is in mm already, and not to be changed.
func InMillimetres(l *mesh.Loaded, unit string) *mesh.Mesh {
	if scale := UnitScale(l.Unit, unit); scale != 1 {
		return l.Mesh.Scaled(scale)
	}
	return l.Mesh
}

// UnitScale returns by what a mesh, as loaded from a file of that unit, must be
// scaled to be in mm where suit.toml names another unit, or none ("").
func UnitScale(of mesh.Unit, named string) float64 {
	_, scale := unitOf(of, named)
	return scale
}

// Examine answers brief about the piece number i of the shell, which was loaded
// as l: bed, condition and change are those of the file, all that has to do
// with the body is that of the whole shell. For the rest see the function
// Examine.
func (w *Whole) Examine(ctx context.Context, l *mesh.Loaded, i int, brief Brief, before *Findings, workers int) (*Answer, error) {
	a, err := examineIn(ctx, l, w, brief, before, workers)
	if err != nil {
		return nil, err
	}
	if w.alone[i] {
		a.Findings.doubtMeeting(brief, w.apart[i])
	}
	return a, nil
}

// orAlone returns the mesh that the body goes into at 100 percent: that of the shell,
// or of the part where it is a piece of none.
func (w *Whole) orAlone(part *mesh.Mesh) *mesh.Mesh {
	if w == nil {
		return part
	}
	return w.mesh
}

// partedShare is the share of the stations of a way that a cut must meet for the
// pieces to part along it (a guess: all but a toe or a rim).
const partedShare = 0.9

// partedAlong reports whether the cuts run along a way through the shell as it
// was looked into last, so that the pieces can be closed round the body.
func (w *Whole) partedAlong() bool {
	if w == nil {
		return false
	}
	for _, c := range w.found {
		for _, l := range c.Lines {
			met := 0
			for _, s := range l.Stations {
				if w.cutAt(s) {
					met++
				}
			}
			if met > 0 && float64(met) >= partedShare*float64(len(l.Stations)) {
				return true
			}
		}
	}
	return false
}

// cutAt reports whether a cut passes the section of a station, or near it.
func (w *Whole) cutAt(s cavity.Station) bool {
	for _, p := range w.seams {
		from := r3.Sub(r3.Scale(w.key.percent/100, p), s.Center)
		if math.Abs(r3.Dot(from, s.Normal)) <= stationStep && r3.Norm(from) <= s.InnerGirth/2 {
			return true
		}
	}
	return false
}

// PartsAlong reports whether the part is one of pieces that part along their length, and
// are closed round the body.
func (f *Findings) PartsAlong() bool { return f.Assembly != nil && f.Assembly.Along }

// unglued returns the brief with pieces that part along the limb strapped together,
// where nobody says that they are glued.
func (f *Findings) unglued(brief Brief) Brief {
	brief.Strapped = brief.Strapped || f.PartsAlong() && !brief.Glued
	return brief
}

// lookInside finds the cavities of the shell at the scale wanted, and returns
// the shell at that scale. Of no shell (nil) they are those of the part.
func (w *Whole) lookInside(ctx context.Context, drawn, part *mesh.Mesh, brief Brief, workers int) (*mesh.Mesh, []cavity.Cavity, error) {
	factor := brief.Percent / 100
	if w == nil {
		found, err := lookInside(ctx, drawn, brief, workers)
		return part, cavity.Scaled(found, factor), err
	}
	key := search{percent: brief.Percent, region: brief.Region.Name}
	if brief.Axis != nil {
		key.forced, key.axis = true, *brief.Axis
	}
	if w.shown != nil && w.key == key {
		return w.shown, w.found, nil
	}
	shown := w.mesh
	if factor != 1 {
		shown = shown.Scaled(factor)
	}
	found, err := lookInside(ctx, w.mesh, brief, workers)
	if err == nil {
		w.key, w.shown, w.found = key, shown, cavity.Scaled(found, factor)
	}
	return shown, w.found, err
}

// noteTogether says which files were judged as one, and what stands against it.
func (f *Findings) noteTogether(brief Brief) {
	if len(brief.Apart)+len(brief.Gone)+len(brief.Renamed) > 0 {
		f.Assembly = &Assembly{Apart: brief.Apart, Gone: brief.Gone, Renamed: brief.Renamed, Sums: maps.Clone(brief.Lost)}
	}
	if len(brief.Gone) > 0 {
		f.warn("assembly-gone", fmt.Sprintf("Made one shell with %s before, no longer in the folder: what is said of the body is of what is left now, and may not hold for the shell. If it is whole without, name its files under [[assembly]] in suit.toml, or write whole = true for a single one.", listed(brief.Gone)))
	}
	for _, old := range slices.Sorted(maps.Keys(brief.Renamed)) {
		if now := brief.Renamed[old]; now == brief.Part || slices.ContainsFunc(brief.Mates, func(m Mate) bool { return m.Part == now }) {
			f.warn("assembly-renamed", fmt.Sprintf("suit.toml names %s as a piece of the shell %s. That file is called %s now, as its bytes tell, and was judged as that piece all the same: write its new name there, under files of [[assembly]].", old, brief.Assembly, now))
			continue
		}
		f.warn("assembly-renamed", fmt.Sprintf("Made one shell with %s before, which is called %s now and is not judged together with it any more: by its new name, or by what suit.toml says of either name, it is no piece of the same shell. Name both under [[assembly]] in suit.toml, as they are called now, or give it its old name again. Until then what is said of the body is of the other pieces alone.", old, brief.Renamed[old]))
	}
	if len(brief.Apart) > 0 {
		f.warn("assembly-apart", fmt.Sprintf("Made one shell with %s before; now they no longer meet. Where one piece was rescaled or moved, do the same with the others, or they will not go together.", listed(brief.Apart)))
	}
	if brief.Rival != "" {
		f.note("assembly-rival", fmt.Sprintf("Lies in the same place as %s, which was judged together with the other pieces of its shell; this file was judged alone. Keep one of the two in the folder, or name the pieces in suit.toml under [[assembly]].", brief.Rival))
	}
	if brief.Assembly == "" {
		return
	}
	f.Assembly = &Assembly{Name: brief.Assembly, Named: brief.Named, Gone: brief.Gone, Renamed: brief.Renamed, Sums: map[string]string{}}
	maps.Copy(f.Assembly.Sums, brief.Lost)
	if len(brief.Mates) == 0 {
		f.warn("assembly-alone", fmt.Sprintf("suit.toml names this file as a piece of the shell %s, but no other piece of that is in the folder: what is said of the body is of this file alone.", brief.Assembly))
		return
	}
	var others []string // at another scale
	for _, m := range brief.Mates {
		f.Assembly.Mates = append(f.Assembly.Mates, m.Part)
		f.Assembly.Sums[m.Part] = m.Sum
		if m.Percent != 0 && m.Percent != brief.Percent {
			others = append(others, fmt.Sprintf("%s at %s %%", m.Part, inPercent(m.Percent)))
		}
	}
	f.note("assembly", fmt.Sprintf("Judged together with %s: together they make one shell. Girths, fit and test bands are those of the whole; the bed and the mesh are those of this file alone.%s", listed(f.Assembly.Mates), unlessWhole(f.Assembly.Named)))
	if len(others) > 0 {
		f.warn("assembly-scale", fmt.Sprintf("suit.toml wants this file at %s %% and %s: pieces of one shell meet only at one scale.", inPercent(brief.Percent), listed(others)))
	}
}

// unlessWhole says how to undo what nobody said.
func unlessWhole(named bool) string {
	if named {
		return ""
	}
	return " If it is no piece of them, write whole = true for it in suit.toml."
}

// doubtMeeting says that a piece named in suit.toml does not meet the others.
func (f *Findings) doubtMeeting(brief Brief, apart bool) {
	mates := listed(f.Assembly.Mates)
	if apart {
		f.warn("assembly-apart", fmt.Sprintf("This file and %s are to be pieces of one shell (%s), but it lies clear of them: do all keep the place and the scale that they were drawn at?", mates, brief.Assembly))
		return
	}
	f.note("assembly-apart", fmt.Sprintf("No face of this file lies on one of %s, though they are to be pieces of one shell (%s).", mates, brief.Assembly))
}
