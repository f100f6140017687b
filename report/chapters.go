package report

import (
	"strings"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/drawing"
	"gambeson/report/paper"
	"gambeson/report/step"
	"gambeson/report/words"
)

// page gathers the chapters of a report.
type page struct{ words.Page }

// text is the report of a part that could be read: the answer, what to do,
// then every reason, in the order in which a maker asks.
func (d Document) text(p disk.Place, drawn drawing.Pictures, kept []string) string {
	f := &d.Findings
	var b page
	b.Block("# " + words.Code(p.Name()))
	b.Block(strings.TrimSpace(answer.Of(f) + " " + answer.BedAnswer(f)))
	if scale := step.Scale(f, d.Brief, p); scale != "" {
		b.Block(scale)
	}
	if piece := d.pieceOf(); piece != "" {
		b.Block(piece)
	}
	b.Items(false, answer.Besides(f))
	b.Steps(step.Next(f, d.Brief, d.Hows, p))
	b.drawing(drawn.Part, p)
	b.scale(f, d.Brief)
	b.drawing(drawn.Ladder, p)
	b.gettingIn(f, p)
	b.wearing(d, p, drawn)
	b.girths(f, p, drawn)
	b.printer(f, p, drawn.Bed)
	b.drawing(drawn.Pieces, p)
	b.bands(d, p)
	b.testing(f, p)
	b.condition(f)
	b.method(f, d.Brief)
	b.KeptCopies(p.Report(), kept)
	region := ""
	if f.Region != nil {
		region = f.Region.Name
	}
	b.Cautions(region)
	return words.InUnits(b.String(), d.Brief) + paper.NotesTop
}

// pieceOf says with which files the part was judged as one, if with any.
func (d Document) pieceOf() string {
	f := &d.Findings
	if f.Assembly == nil || len(f.Assembly.Mates) == 0 {
		return ""
	}
	var mates []string
	for _, m := range f.Assembly.Mates {
		mates = append(mates, words.Code(m))
	}
	text := "This file is one piece of a shell, with " + strings.Join(mates, ", ") + ". What is said of the body holds for the whole shell, what is said of the bed and the mesh for this file alone."
	if f.Assembly.Along && !d.Brief.Glued {
		text += " **Join the pieces by straps, not by glue all round:** they part along their length and are closed round the body, so nothing has to pass through them. If you glue them into one, write `strapped = false` for them in `suit.toml`."
	}
	return text
}

// condition tells the faults of the mesh in plain words.
func (b *page) condition(f *analysis.Findings) {
	m := f.Mesh
	if m == nil {
		return
	}
	b.Heading("The mesh")
	b.concerns(f, "mesh")
	text := "The surface is closed: the printing program can tell inside from outside."
	if !m.Closed {
		text = "**The surface is not closed.**"
	}
	if m.Components > 1 {
		text += " The file holds " + words.Count(m.Components) + " separate shells."
	}
	b.Block(text)
	var rows [][]string
	for _, d := range m.Defects {
		name, means := defectWords(d.Kind)
		rows = append(rows, []string{words.Prose(name), words.Count(d.Count), words.Spot(d.Where), means})
	}
	b.Table([]string{"fault", "count", "for example near", "what it means"}, rows)
}

// refusalText is the report of a file that could not be read. bands are those
// of an earlier version that are still there.
func refusalText(p disk.Place, r answer.Refusal, kept, bands []string) string {
	var b page
	b.Block("# " + words.Code(p.Name()))
	b.Block("**This file could not be read:** " + r.Why())
	remedy := "Save or download the file again."
	if r.Remedy != "" {
		remedy = words.Capital(words.Sentence(r.Remedy))
	}
	b.Steps([]string{remedy, "Then wait: this report is written again as soon as the file changes."})
	if len(bands) > 0 {
		b.Block("The test bands in " + words.Link(words.Code("bands"), words.Href(p.Report(), p.Under("bands"))) + " belong to an earlier version of the file.")
	}
	b.KeptCopies(p.Report(), kept)
	b.WriteString(paper.NotesTop)
	return b.String()
}

// concerns says at length the warnings that belong to a chapter.
func (b *page) concerns(f *analysis.Findings, chapter string) {
	for _, w := range f.Warnings {
		if w.Level == analysis.LevelWarning && answer.ChapterOf(w.Code) == chapter {
			b.Block("**Warning:** " + words.Prose(w.Text))
		}
	}
}

// defectWords says what a fault of the mesh means and what to do about it.
func defectWords(kind string) (name, means string) {
	switch kind {
	case "open-edge":
		return "edges of a hole or a rim without thickness", "The surface is not closed there. The printing program may fill the wall or leave it out: close the holes in a modelling program, or look at its preview layer by layer."
	case "non-manifold-edge":
		return "edges where more than two facets meet", "Mostly walls that touch. Girths are not harmed; look at the preview there."
	case "flipped":
		return "facets facing the wrong way", "The printing program may take inside for outside there: let it correct the facets' directions, or look at its preview."
	case "sliver":
		return "facets too thin to print", "Harmless."
	case "duplicate":
		return "facets that lie twice in the same place", "Mostly harmless; look at the preview there."
	}
	return strings.ReplaceAll(kind, "-", " "), "Look at the preview there."
}

// drawing shows a picture where it was drawn.
func (b *page) drawing(d drawing.Picture, p disk.Place) {
	if d.File != "" {
		b.Picture(d.Alt, words.Href(p.Report(), p.Under(d.File)))
	}
}
