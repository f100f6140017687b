// Package suit writes what is said of all parts together: SUIT.md with its warnings,
// steps and scales, the reasons for them in SUIT.fit/details.md, the list of an
// archive, and prints that share a bed. It arranges and computes nothing: what the
// parts say together arrives finished in analysis/suit.
package suit

import (
	"math"
	"slices"
	"strings"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/analysis/suit/joint"
	"gambeson/report/answer"
	"gambeson/report/bend"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/picture"
	"gambeson/report/words"
)

// page gathers the chapters of SUIT.md, of its details and of lists.
type page struct{ words.Page }

// Suit is everything that SUIT.md is made of.
type Suit struct {
	Wearer   string              // the wearer's name, "" where none is given
	Brief    analysis.Brief      // what holds for the whole suit: printer, padding
	Problems []Problem           // broken TOML files
	Rows     []Row               // the parts, in any order
	Judged   together.Suit       // what they say together
	Joints   []joint.Joint       // where parts meet
	Kin      []analysis.Relation // parts that have the shape of another
	Gone     []Gone              // parts with a report that are no longer there
	Dropped  Dropped             // bed loads that were taken away
	// Unmatched says which files the TOML files name that no part has, Misnamed which
	// of these are most likely a slip: one part nearly has the name.
	Unmatched, Misnamed []string

	Mistaken []Mistaken // files that are most likely meant as TOML files
	Foreign  []string   // files of formats that are not read, by path from the suit folder on

	ToCome  []string // mesh files of the folder that were not looked into yet, relative to it
	Watched bool     // they will be, without anybody asking

	Printed map[string]Took   // parts that the logbook says were printed, by name
	Hows    map[string]string // how each measure is taken, by its name
}

// Took is what a print took, 0 where nobody noted it.
type Took struct{ Hours, Grams float64 }

// of is what was noted of a print at a scale of a part: nothing where the print that was
// made has another scale. What that one took against its forecast has corrected all
// forecasts already, of this part too: see cost.Calibrate.
func (t Took) of(f *analysis.Findings, scale float64) Took {
	if math.Abs(f.Printed-scale) > analysis.HalfStep {
		return Took{}
	}
	return t
}

// or is what it took where that was noted, else as it is reckoned.
func (t Took) or(p analysis.PrintAt) analysis.PrintAt {
	if t.Hours > 0 {
		p.Hours = t.Hours
	}
	if t.Grams > 0 {
		p.Grams = t.Grams
	}
	return p
}

// Gone is a part that is no longer there.
type Gone struct {
	Place disk.Place
	Now   string // the name of the part that has its mesh now, "" where none has
}

// Mistaken is a file that is not read, and the name with which it would be.
type Mistaken struct{ File, Meant string }

// Problem is a TOML file that cannot be used as it stands.
type Problem struct {
	File string // relative to the suit folder
	Text string // what is wrong, with line and key
	Kept string // which values hold meanwhile: "the values of 12:03", "the defaults"
}

// Row is one part of a suit or one member of an archive.
type Row struct {
	Place    disk.Place
	Findings *analysis.Findings // nil where the file could not be read
	Refusal  *answer.Refusal    // nil where it could

	from string // the report in which it is named; see seenFrom
}

// Write writes SUIT.md into a suit folder: warnings first, then every part;
// and before it the reasons in SUIT.fit/details.md. They are written like a
// report: whole or not at all, only where they differ, and with the person's
// notes kept.
func Write(root string, s Suit) error {
	dir, err := disk.Open(root)
	if err != nil {
		return err
	}
	defer dir.Close()
	if d, ok := bend.Draw(s.Joints, s.Brief); ok {
		data, err := picture.PNG(d.Image)
		if err != nil {
			return disk.Failed(jointFile(d), "cannot be drawn", err)
		}
		if err := dir.Write(jointFile(d), data); err != nil {
			return err
		}
	}
	if err := paper.Put(dir, disk.DetailsReport, "", disk.KeptDetails, s.details); err != nil {
		return err
	}
	return paper.Put(dir, disk.SuitName, "", disk.KeptSuit, s.text)
}

// Files lists what Write writes, but for pictures, by path from the suit
// folder on, with slashes.
func Files() []string {
	return []string{disk.SuitName, disk.PageOf(disk.SuitName), disk.DetailsReport, disk.PageOf(disk.DetailsReport)}
}

// WriteList writes the report of an archive: its members, each with a link to
// its own report.
func WriteList(p disk.Place, fingerprint string, rows []Row) error {
	dir, err := disk.Open(p.Root)
	if err != nil {
		return err
	}
	defer dir.Close()
	return paper.Put(dir, p.Report(), fingerprint, p.KeptName, func(kept []string) string {
		return listText(p, rows, kept)
	})
}

func (s Suit) text(kept []string) string {
	rows := s.pastBed(seenFrom(disk.SuitName, s.Rows))
	var b page
	whose := "# The suit"
	if s.Wearer != "" {
		whose += " of " + words.Prose(s.Wearer)
	}
	b.Block(whose)
	steps := suitSteps(s, rows)
	w := append(append(problems(s.Problems), mistaken(s.Mistaken)...), rowWarnings(rows)...)
	w = append(w, copyWarnings(s.Judged, rows)...)
	for _, m := range s.Misnamed {
		w = append(w, words.Sentence(m)+" What stands there holds for no part.")
	}
	if step := s.waitStep(rows); step != "" && len(steps) > 0 {
		steps = slices.Insert(steps, 0, step)
	}
	if step := brokenStep(s.Problems); step != "" && len(steps) > 0 {
		steps = slices.Insert(steps, 0, step)
	}
	answer := "**" + s.answer(rows) + "**"
	if len(steps) > 0 && len(w) > mostNamed { // which fill a telephone
		answer += " " + words.Link("What to do next", "#what-to-do-next") + "."
	}
	b.Block(answer)
	if len(w) > 0 {
		b.Heading("Warnings")
		b.Items(false, w)
	}
	if len(steps) > 0 {
		b.Steps(steps)
	}
	b.nextPrint(s.Judged, rows)
	b.suitParts(s.Judged, s.Printed, rows)
	b.progress(s, rows)
	b.commonScales(s.Judged, rows)
	b.toMeasure(s, rows)
	bend.Hindered(&b.Page, s.Joints)
	b.foreign(s.Foreign)
	b.gone(s.Gone)
	b.KeptCopies(disk.SuitName, kept)
	b.Heading("Cautions")
	b.Block(suitCaution + " Reasons, assumptions and all cautions: " + detailsLink("", "the suit in detail") + ".")
	return words.InUnits(b.String(), s.Brief) + paper.NotesTop
}

// pastBed returns rows without the warnings that the bed is too small for what is
// printed already.
func (s Suit) pastBed(rows []Row) []Row {
	for i, r := range rows {
		if _, printed := s.Printed[r.Place.Name()]; !printed || r.Findings == nil {
			continue
		}
		if p, judged := s.Judged.Part(r.Place.Name()); !judged || p.Misprinted > 0 {
			continue // it is to be printed again
		}
		f := *r.Findings
		f.Warnings = slices.DeleteFunc(slices.Clone(f.Warnings), func(w analysis.Warning) bool { return w.Code == "bed-overflow" })
		rows[i].Findings = &f
	}
	return rows
}

// answer counts the parts as tally does, and the files that are still to come.
func (s Suit) answer(rows []Row) string {
	if len(s.ToCome) == 0 {
		return tally(rows)
	}
	come := words.Things(len(s.ToCome), "file") + " not looked into yet"
	switch {
	case s.Watched && len(rows) == 0:
		return words.Things(len(s.ToCome), "file") + " " + isAre(len(s.ToCome)) + " being looked into, none is done yet."
	case s.Watched:
		come = words.Things(len(s.ToCome), "file") + " still to be looked into"
	case len(rows) == 0:
		return words.Capital(come) + "."
	}
	parts, rest, _ := strings.Cut(tally(rows), ":")
	return parts + " so far, " + come + ":" + rest
}

// waitStep says what has to come before all other steps, as long as they are of only
// some of the files.
func (s Suit) waitStep(rows []Row) string {
	n := len(s.ToCome)
	if n == 0 || len(rows) == 0 {
		return ""
	}
	others := "the other " + words.Things(n, "file")
	if n <= mostNamed {
		var names []string
		for _, name := range s.ToCome {
			names = append(names, words.Code(name))
		}
		others = words.And(names)
	}
	parts := "what follows is of the " + words.Things(len(rows), "part") + " so far alone, and may change."
	if !s.Watched {
		return "Have " + others + " looked into, with `gambeson check` and this folder: " + parts
	}
	return "Wait until " + others + " " + isAre(n) + " looked into: " + parts +
		" One that is not whole yet, as while it is copied, is waited for, ten minutes at most. `gambeson status` and this folder say what it lacks."
}

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// suitCaution is what of the cautions stands on the suit's first page.
const suitCaution = "A printed shell is a costume, **not protective equipment**. **Too tight stops the blood:** at numb, tingling, cold or discoloured skin take it off at once; never force anything on. Each report has the cautions for its part."

// regions lists what the parts cover.
func regions(rows []Row) []string {
	var out []string
	for _, r := range rows {
		if r.Findings != nil && r.Findings.Region != nil {
			out = append(out, r.Findings.Region.Name)
		}
	}
	return out
}

func listText(p disk.Place, rows []Row, kept []string) string {
	rows = seenFrom(p.Report(), rows)
	var b page
	b.WriteString(paper.ListLine)
	b.Block("# " + words.Code(p.Name()))
	b.Block("**" + tally(rows) + "** Each part in this archive has a report of its own.")
	if w := rowWarnings(rows); len(w) > 0 {
		b.Heading("Warnings")
		b.Items(false, w)
	}
	b.parts(rows)
	b.KeptCopies(p.Report(), kept)
	b.Cautions(regions(rows)...)
	b.WriteString(paper.NotesTop)
	return b.String()
}

// seenFrom returns rows by their names, so that their order means nothing, for
// a report to link to.
func seenFrom(report string, rows []Row) []Row {
	rows = slices.SortedStableFunc(slices.Values(rows), func(a, b Row) int {
		return strings.Compare(a.Place.Name(), b.Place.Name())
	})
	for i := range rows {
		rows[i].from = report
	}
	return rows
}

// jointFile is where the picture of a joint lies.
func jointFile(d bend.Picture) string { return disk.SuitFolder + "/" + d.File }

// shownJoint is the path of the picture of a joint, "" for none.
func shownJoint(s Suit) string {
	if d, ok := bend.Draw(s.Joints, s.Brief); ok {
		return jointFile(d)
	}
	return ""
}

// tally counts the parts by what they ask of the person.
func tally(rows []Row) string {
	warned, refused := 0, 0
	for _, r := range rows {
		switch {
		case r.Findings == nil:
			refused++
		case r.Findings.Warned():
			warned++
		}
	}
	if len(rows) == 0 {
		return "No part yet: put a mesh file (STL, 3MF, OBJ) into the folder."
	}
	text := words.Things(len(rows), "part") + ": " + words.Count(len(rows)-warned-refused) + " without a warning"
	if warned > 0 {
		text += ", " + words.Count(warned) + " with one"
	}
	if refused > 0 {
		text += ", " + words.Count(refused) + " that could not be read"
	}
	return text + "."
}

// problems lists the broken TOML files with what holds meanwhile.
func problems(all []Problem) []string {
	var out []string
	for _, p := range all {
		text := "**" + words.Code(p.File) + " cannot be used:** " + words.Sentence(p.Text)
		if p.Kept != "" {
			text += " Until it is mended, " + words.Prose(p.Kept) + " hold."
		}
		out = append(out, text)
	}
	return out
}

// brokenStep asks to mend the TOML files before all else.
func brokenStep(all []Problem) string {
	var files []string
	for _, p := range all {
		files = append(files, words.Code(p.File))
	}
	if files == nil {
		return ""
	}
	return "Mend " + words.And(files) + ", as the warning above says: what follows goes by what stood there before."
}

// mistaken lists the files that would be read under another name.
func mistaken(all []Mistaken) []string {
	var out []string
	for _, m := range all {
		out = append(out, "**"+words.Code(m.File)+" is not read.** If it is meant as "+words.Code(m.Meant)+", give it that name, to the letter: some systems show neither a `.txt` at the end nor what else differs.")
	}
	return out
}

// rowWarnings lists the parts that ask the person to act, what could not be read
// first: one line each.
func rowWarnings(rows []Row) []string {
	var out []string
	for _, r := range rows {
		if r.Findings == nil {
			text := rowLink(r) + " could not be read"
			if r.Refusal == nil {
				out = append(out, text+".")
				continue
			}
			text += ": " + r.Refusal.Why()
			if r.Refusal.Remedy != "" {
				text += " " + words.Capital(words.Sentence(r.Refusal.Remedy))
			}
			out = append(out, text)
		}
	}
	for _, r := range rows {
		if r.Findings != nil && r.Findings.Warned() {
			out = append(out, rowLink(r)+": "+answer.InShort(r.Findings)+".")
		}
	}
	return out
}

// parts is the table of all parts that could be read.
func (b *page) parts(rows []Row) {
	var cells [][]string
	for _, r := range rows {
		f := r.Findings
		if f == nil {
			cells = append(cells, []string{rowLink(r), "", "**not read**", "", "", "", "", "", ""})
			continue
		}
		cost := []string{"", ""}
		if f.Print != nil {
			cost = []string{words.Hours(f.Print.Hours), words.Grams(f.Print.Grams)}
		}
		cells = append(cells, []string{
			rowLink(r), words.Region(f.Region), answer.Verdict(f, ""), words.Percent(f.Percent), tightestWords(f),
			answer.OnBed(f), bandLinks(r), cost[0], cost[1],
		})
	}
	if len(cells) == 0 {
		return
	}
	b.Heading("Parts")
	b.Table([]string{"part", "covers", "on the body", "scale", "tightest inside", "on the bed", "test bands", "hours", "filament"}, cells)
	if slices.ContainsFunc(rows, func(r Row) bool { return r.Findings != nil && r.Findings.Print != nil }) {
		b.Block("Hours and filament are *estimates* for that scale, supports not counted.")
	}
}

// tightestWords names the tightest place of all ways.
func tightestWords(f *analysis.Findings) string {
	s, ok := f.Tightest()
	if !ok {
		return ""
	}
	if s.Open() {
		return "open: " + words.Girth(s.InnerGirth) + " of wall at " + words.Along(s.Along)
	}
	return words.Girth(s.InnerGirth) + " at " + words.Along(s.Along)
}

func (b *page) gone(parts []Gone) {
	if len(parts) == 0 {
		return
	}
	var items []string
	for _, g := range parts {
		item := words.Link(words.Code(g.Place.Name()), words.Href(disk.SuitName, g.Place.Report()))
		if g.Now != "" {
			item += ": the file is called " + words.Code(g.Now) + " now"
		}
		items = append(items, item)
	}
	slices.Sort(items)
	b.Heading("No longer in the folder")
	b.Block("Their last reports are kept; delete them when they are of no more use.")
	b.Items(false, items)
}
