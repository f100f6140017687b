package report

import (
	"path"
	"strings"

	"gambeson/analysis"
)

// text is the report of a part that could be read: the answer, what to do,
// then every reason, in the order in which a maker asks.
func (d Document) text(p Place, drawn pictures, kept []string) string {
	f := &d.Findings
	var b page
	b.block("# " + code(p.Name()))
	b.block(strings.Join([]string{answer(f), bedAnswer(f)}, " "))
	if piece := d.pieceOf(); piece != "" {
		b.block(piece)
	}
	b.items(false, besides(f))
	b.steps(d.steps(p))
	b.drawing(drawn.part, p)
	b.scale(f, d.Brief)
	b.drawing(drawn.ladder, p)
	b.gettingIn(f, p)
	b.wearing(d, p, drawn)
	b.girths(f, p, drawn)
	b.printer(f, p, drawn.bed)
	b.drawing(drawn.pieces, p)
	b.bands(d, p)
	b.testing(f, p)
	b.condition(f)
	b.method(f, d.Brief)
	b.keptCopies(p.Report(), kept)
	region := ""
	if f.Region != nil {
		region = f.Region.Name
	}
	b.cautions(region)
	return inUnits(b.String(), d.Brief) + notesTop
}

// inUnits puts inches beside mm where the wearer measures in them.
func inUnits(text string, brief analysis.Brief) string {
	if brief.Wearer.Inches {
		return withInches(text)
	}
	return text
}

// pieceOf says with which files the part was judged as one, if with any.
func (d Document) pieceOf() string {
	f := &d.Findings
	if f.Assembly == nil || f.Assembly.Name == "" {
		return ""
	}
	var mates []string
	for _, m := range f.Assembly.Mates {
		mates = append(mates, code(m))
	}
	text := "This file is one piece of a shell, with " + strings.Join(mates, ", ") + ". What is said of the body holds for the whole shell, what is said of the bed and the mesh for this file alone."
	if f.Assembly.Along && !d.Brief.Glued {
		text += " **Join the pieces by straps, not by glue all round:** they part along their length, so they are taken to be closed round the body, and nothing was looked for that has to pass. If you glue them into one, write `strapped = false` for them in `suit.toml`."
	}
	return text
}

// condition tells the faults of the mesh in plain words.
func (b *page) condition(f *analysis.Findings) {
	m := f.Mesh
	if m == nil {
		return
	}
	b.heading("The mesh")
	b.concerns(f, "mesh")
	text := "The surface is closed: the printing program can tell inside from outside."
	if !m.Closed {
		text = "**The surface is not closed.**"
	}
	if m.Components > 1 {
		text += " The file holds " + count(m.Components) + " separate shells."
	}
	b.block(text)
	var rows [][]string
	for _, d := range m.Defects {
		name, means := defectWords(d.Kind)
		rows = append(rows, []string{prose(name), count(d.Count), spot(d.Where), means})
	}
	b.table([]string{"fault", "count", "for example near", "what it means"}, rows)
}

// keptCopies says where earlier versions with the person's changes are.
func (b *page) keptCopies(from string, kept []string) {
	if len(kept) == 0 {
		return
	}
	var files []string
	for _, k := range kept {
		files = append(files, link(code(path.Base(k)), href(from, k)))
	}
	b.block("An earlier version of this report had been changed above its notes. It is kept as it was: " + and(files) + ".")
}

func (b *page) cautions(regions ...string) {
	b.heading("Cautions")
	b.items(false, cautionsFor(regions))
}

// refusalText is the report of a file that could not be read. bands are those
// of an earlier version that are still there.
func refusalText(p Place, r Refusal, kept, bands []string) string {
	var b page
	b.block("# " + code(p.Name()))
	b.block("**This file could not be read:** " + r.why())
	remedy := "Save or download the file again."
	if r.Remedy != "" {
		remedy = capital(sentence(r.Remedy))
	}
	b.steps([]string{remedy, "Then wait: this report is written again as soon as the file changes."})
	if len(bands) > 0 {
		b.block("The test bands in " + link(code("bands"), href(p.Report(), p.Under("bands"))) + " belong to an earlier version of the file.")
	}
	b.keptCopies(p.Report(), kept)
	b.WriteString(notesTop)
	return b.String()
}

// why says what is wrong and where.
func (r Refusal) why() string {
	if r.Where == "" {
		return sentence(r.Cause)
	}
	return strings.TrimSuffix(sentence(r.Cause), ".") + " (at " + prose(r.Where) + ")."
}
