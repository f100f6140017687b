package analysis

import (
	"context"

	"gambeson/analysis/bed"
	"gambeson/analysis/cost"
	"gambeson/analysis/fit"
	"gambeson/analysis/mesh"
)

// Answer is all that Examine finds: the findings, and the geometry that goes
// with them to be written and drawn.
type Answer struct {
	Findings Findings
	Bands    []*mesh.Mesh // parallel to Findings.Bands, laid flat
	Outlines []Outline    // sections to draw
	Pieces   []*mesh.Mesh // parallel to Findings.Bed.Pieces, lying as they are printed
	Parted   []*mesh.Mesh // the same where they sit in the part
	Shown    *mesh.Mesh   // the part at Findings.Percent; the whole shell where it is a piece of one
	Own      *mesh.Mesh   // the part alone at Findings.Percent
	Singles  []*mesh.Mesh // parallel to Findings.Singles
	Panel    *mesh.Mesh   // the strip that must come off, nil where none must
	Rest     *mesh.Mesh   // the part without it
	Kept     *Kept        // to judge another wearer by, nil where no body was asked about
	Laps     []Lap        // how long each stage took, in their order

	twoWay *fit.TwoWay   // scales of their own for girth and length that might do, nil where one does
	asked  *fit.Question // of body and part, nil where none was
	lies   bed.Footprint // the part alone as it was placed on the bed

	ownCost func() cost.Cost // of the part alone in one piece
}

// Examine answers brief about one loaded part, on so many processors. before
// holds the findings of the file's last report, nil where there was none. The
// only error is that of ctx; everything that could not be found out is a
// warning in the findings.
func Examine(ctx context.Context, l *mesh.Loaded, brief Brief, before *Findings, workers int) (*Answer, error) {
	return examineIn(ctx, l, nil, brief, before, workers)
}

// examineIn is Examine of a part that is a piece of whole, nil where it is none.
func examineIn(ctx context.Context, l *mesh.Loaded, whole *Whole, brief Brief, before *Findings, workers int) (*Answer, error) {
	a := &Answer{}
	lap := a.laps(ctx)
	unit, scale := unitOf(l.Unit, brief.Unit)
	drawn := l.Mesh
	if scale != 1 {
		drawn = drawn.Scaled(scale)
	}
	condition := l.Condition()
	drawn = drawn.Turned(condition.Flipped) // what is cut from it faces outward
	given := brief                          // what follows learns more of the part
	placed, settle := ahead(workers > 1, func() placing { return onBeds(drawn, given, given.Percent) })
	defer settle()
	a.Findings = Findings{
		Schema: Schema, Percent: brief.Percent, PercentSet: brief.PercentSet, Unit: &unit,
		Mesh: describe(l, drawn, condition, scale), Region: &brief.Region,
	}
	f := &a.Findings
	f.nameObjects(l, scale)
	f.guessRegion(brief.Part, &brief)
	f.noteNames()
	lap("check")
	f.notice(drawn, before, workers)
	f.noteTwice(before, brief)
	f.notePrinted(before, brief)
	f.noteStretched(before)
	f.noteMesh(l)
	f.warnSpecks(drawn)
	lap("likeness")

	a.Shown = drawn
	if brief.Percent != 100 {
		a.Shown = drawn.Scaled(brief.Percent / 100)
	}
	a.Own = a.Shown
	shown, cavities, err := whole.lookInside(ctx, drawn, a.Shown, brief, workers)
	if err != nil {
		return nil, err
	}
	lap("cavity")
	a.lies = placed().outline
	f.placeOnBed(placed(), brief, before)
	lap("bed")
	f.noteTogether(brief)
	if f.Assembly != nil && f.Assembly.Name != "" {
		f.Assembly.Along = whole.partedAlong()
		brief = f.unglued(brief)
	}
	defer a.costAhead(brief, workers)()
	a.Shown = shown
	f.describeCavities(cavities)
	f.measureWall(cavities, brief)
	lap("wall")
	f.guessByShape(&brief)
	f.noteUnit()
	a.tellApart(drawn, brief)
	f.noteObjects()
	brief = a.wear(cavities, brief)
	if err := a.stretch(ctx, whole.orAlone(drawn), drawn, brief, workers); err != nil {
		return nil, err
	}
	lap("fit")
	a.cutBands(brief, workers)
	lap("bands")
	if err := a.parted(ctx, brief); err != nil {
		return nil, err
	}
	lap("parting")
	a.countCosts(brief, workers)
	lap("cost")
	a.testing(brief, workers)
	a.countLoads(brief)
	lap("testing")
	a.outline(cavities)
	lap("outline")
	return a, ctx.Err()
}
