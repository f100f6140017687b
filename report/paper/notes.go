// Package paper puts a report over what lies there: our text in Markdown, the same as a
// page beside it, and below it what the person wrote, word for word. It also tells
// whether a report is whole and up to date, and what was found the last time. What the
// text says is none of its business.
package paper

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"path"
	"regexp"
	"strings"

	"gambeson/analysis"
	"gambeson/report/disk"
	"gambeson/report/words"
)

// A report begins with two comments, which a Markdown viewer does not show,
// and ends with the person's notes behind a third:
//
//	<!-- gambeson report: … -->
//	<!-- gambeson fingerprint=… text=… -->
//	…
//	## Your notes
//	…
//	<!-- gambeson: everything below this line is yours … -->
//
// "text" is a hash of what stands between the second and the third comment,
// by which a change of the person's above their notes is seen.
const (
	firstLine    = `<!-- gambeson report: written by the program and written again; what stands below "Your notes" is yours and stays -->`
	notesHeading = `## Your notes`
	notesHint    = `*What you write below is kept word for word when this report is written again.*`
	notesLine    = `<!-- gambeson: everything below this line is yours and is kept word for word -->`
	NotesTop     = notesHeading + "\n\n" + notesHint + "\n\n"
)

var (
	secondLine = regexp.MustCompile(`^<!-- gambeson (?:fingerprint=([0-9A-Za-z._+]+) )?text=([0-9a-f]+) -->$`)
	printed    = regexp.MustCompile(`^[0-9A-Za-z._+]*$`)
)

// existing is what lies at a report's place. The zero value is no file.
type existing struct {
	ours        bool   // written by us, maybe changed since
	fingerprint string // "" where there is none
	text        []byte // ours, between the second line and the notes
	changed     bool   // the person changed the text
	whole       bool   // not cut off: the notes' line is there
	notes       []byte // theirs
}

// parse takes apart what lies at a report's place. Bytes that cannot be told
// to be ours are the person's notes.
func parse(old []byte) existing {
	first, rest := cutLine(bytes.TrimPrefix(old, []byte("\ufeff")))
	begun := trim(first) == firstLine
	text, notes, whole := split(rest, notesLine)
	if !whole && begun { // the notes' line was deleted, their heading was not
		text, notes, whole = split(rest, notesHeading)
		text = append(text[:len(text):len(text)], NotesTop...)
		notes = bytes.TrimPrefix(notes, []byte("\n"+notesHint+"\n\n"))
	}
	if len(bytes.Trim(old, "\x00")) == 0 {
		return existing{} // a power cut leaves files empty or full of zeros
	}
	if !begun && !whole {
		return existing{notes: old}
	}
	e := existing{ours: true, text: text, changed: true, whole: whole, notes: notes}
	second, below := cutLine(text)
	if m := secondLine.FindStringSubmatch(trim(second)); begun && m != nil {
		e.fingerprint, e.text = m[1], below
		e.changed = m[2] != textSum(below)
	}
	if !whole {
		e.notes = old // somebody cut the end off: nothing tells theirs from ours
	}
	return e
}

// split parts at the first line that reads as given; ok is false where none
// does. Neither side holds that line.
func split(old []byte, line string) (above, below []byte, ok bool) {
	for at := 0; at < len(old); {
		now, rest := cutLine(old[at:])
		if trim(now) == line {
			return old[:at], rest, true
		}
		at = len(old) - len(rest)
	}
	return old, nil, false
}

func cutLine(b []byte) (line, rest []byte) {
	if at := bytes.IndexByte(b, '\n'); at >= 0 {
		return b[:at], b[at+1:]
	}
	return b, nil
}

func trim(line []byte) string { return string(bytes.TrimRight(line, " \t\r")) }

// textSum hashes a text without what editors change unasked: line ends, blanks
// at the end of lines, empty lines at the end.
func textSum(text []byte) string {
	h := sha256.New()
	for line := range bytes.Lines(bytes.TrimRight(text, " \t\r\n")) {
		h.Write([]byte(trim(bytes.TrimSuffix(line, []byte("\n"))) + "\n"))
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}

// compose puts a report together: our text, which ends with the notes'
// heading, then the notes.
func compose(text, fingerprint string, notes []byte) []byte {
	var b bytes.Buffer
	b.WriteString(firstLine + "\n<!-- gambeson ")
	if fingerprint != "" {
		b.WriteString("fingerprint=" + fingerprint + " ")
	}
	b.WriteString("text=" + textSum([]byte(text)) + " -->\n")
	b.WriteString(text)
	b.WriteString(notesLine + "\n")
	b.Write(notes)
	return b.Bytes()
}

// Put writes a report over what lies there, keeping the notes, and before it
// the page beside it. A text that the person had changed is first saved as it
// was under the name kept gives. text makes ours from the names of all that was
// kept so.
func Put(d disk.Folder, name, fingerprint string, kept func(hash string) string, text func(kept []string) string) error {
	if !printed.MatchString(fingerprint) {
		return fmt.Errorf("%s: the fingerprint %q is not letters and digits", disk.Shown(name), fingerprint)
	}
	return d.Rewrite(name, func(old []byte) ([]byte, error) {
		e := parse(old)
		if e.ours && e.whole && e.changed {
			sum := sha256.Sum256(old)
			if err := d.Write(kept(hex.EncodeToString(sum[:4])), old); err != nil {
				return nil, err
			}
		}
		return paged(d, name, text(keptCopies(d, kept)), fingerprint, e.notes, kept)
	})
}

// paged writes the page beside a report and returns the report, which says so
// where a file of the person's is in the page's way.
func paged(d disk.Folder, name, text, fingerprint string, notes []byte, kept func(hash string) string) ([]byte, error) {
	err := writePage(d, name, text, notes, kept)
	if errors.Is(err, errInTheWay) {
		text, err = strings.TrimSuffix(text, NotesTop)+inTheWay(name)+NotesTop, nil
	}
	return compose(text, fingerprint, notes), err
}

// keptCopies lists the copies of reports that the person had changed.
func keptCopies(d disk.Folder, name func(hash string) string) []string {
	dir, pattern := path.Split(name("*"))
	var out []string
	for _, f := range d.List(path.Clean(dir)) {
		if ok, err := path.Match(pattern, f); ok && err == nil {
			out = append(out, path.Join(dir, f))
		}
	}
	return out
}

// Fingerprint returns the fingerprint of the report at a place; false where
// there is none, where it is not ours or not whole, where the findings beside
// it are missing or belong to another run, or where its page is missing.
func Fingerprint(p disk.Place) (string, bool) {
	d, err := disk.Open(p.Root)
	if err != nil {
		return "", false
	}
	defer d.Close()
	old, _, err := d.Read(p.Report())
	if err != nil {
		return "", false
	}
	e := parse(old)
	if !e.ours || !e.whole || e.fingerprint == "" {
		return "", false
	}
	if bytes.HasPrefix(e.text, []byte(ListLine)) {
		return e.fingerprint, true // a list has no findings
	}
	// findings.json begins with schema, part and fingerprint.
	head := d.Head(p.Under(disk.FindingsName), int64(1024+6*len(p.Name())))
	if !bytes.Contains(head, []byte(`"fingerprint":"`+e.fingerprint+`"`)) || d.Head(disk.PageOf(p.Report()), 1) == nil {
		return "", false
	}
	return e.fingerprint, true
}

// Previous returns the findings of the report at a place, nil where there are
// none or where they cannot be trusted: cut off, of another form, of another
// part.
func Previous(p disk.Place) *analysis.Findings {
	d, err := disk.Open(p.Root)
	if err != nil {
		return nil
	}
	defer d.Close()
	data, before, err := d.Read(p.Under(disk.FindingsName))
	if err != nil || before == nil {
		return nil
	}
	var f analysis.Findings
	if json.Unmarshal(data, &f) != nil || f.Schema != analysis.Schema {
		return nil
	}
	if f.Part != strings.ToValidUTF8(p.Name(), "\ufffd") { // as encoding/json writes it
		return nil
	}
	return &f
}

// MarkGone says at the top of a report that its part is no longer there. The
// fingerprint goes, so that a part that comes back is looked at again; the notes stay,
// and the text as left returns it, but as it is where the person changed it. Without a
// report nothing is done.
func MarkGone(p disk.Place, left func(text []byte) []byte) error {
	return whereReported(p, func(d disk.Folder, _ []byte) error {
		return redo(d, p.Report(), func(e existing) ([]byte, error) {
			text := e.text
			if !e.changed {
				text = left(text)
			}
			gone, err := paged(d, p.Report(), goneBanner+string(text), "", e.notes, p.KeptName)
			if e.changed { // keep it known that the person changed the text
				gone = bytes.Replace(gone, []byte("text="), []byte("text=0"), 1)
			}
			return gone, err
		})
	})
}

// whereReported opens the folder of a report that is there, for do. Without a report
// nothing is done.
func whereReported(p disk.Place, do func(d disk.Folder, report []byte) error) error {
	d, err := disk.Open(p.Root)
	if err != nil {
		return err
	}
	defer d.Close()
	report, before, err := d.Read(p.Report())
	if before == nil || err != nil {
		return err
	}
	return do(d, report)
}

// redo makes another report of one of ours that is whole and whose part is not gone;
// others stay as they are, and so does this where anew returns nil.
func redo(d disk.Folder, report string, anew func(now existing) ([]byte, error)) error {
	return d.Rewrite(report, func(old []byte) ([]byte, error) {
		e := parse(old)
		if !e.ours || !e.whole || bytes.HasPrefix(e.text, []byte(goneBanner)) {
			return nil, nil
		}
		return anew(e)
	})
}

// goneBanner stands on top of the report of a part that is gone.
const goneBanner = "> **This part is no longer in the folder.** The report below is the last one that was written for it.\n\n"

// ListLine marks the report of an archive: it stands alone, without findings.
const ListLine = "<!-- gambeson list of an archive -->\n"

// Amend puts other findings beside a report, makes another text of ours of its own and
// takes its fingerprint, so that the part will be looked into again. The text of a report
// that is not whole, that the person changed or whose part is gone stays as it is, and so
// does every page. Without a report nothing is done.
func Amend(p disk.Place, findings []byte, text func(now []byte) string) error {
	return whereReported(p, func(d disk.Folder, _ []byte) error {
		d = d.Loosely()
		if err := d.Loosely().Write(p.Under(disk.FindingsName), findings); err != nil {
			return err
		}
		return redo(d, p.Report(), func(e existing) ([]byte, error) {
			if e.changed {
				return nil, nil
			}
			return compose(text(e.text), "", e.notes), nil
		})
	})
}

// RenewPage makes the page of a report anew from what the report says.
func RenewPage(p disk.Place) error {
	return whereReported(p, func(d disk.Folder, report []byte) error {
		e := parse(report)
		if !e.ours || !e.whole || e.changed {
			return nil
		}
		err := writePage(d, p.Report(), string(e.text), e.notes, p.KeptName)
		if errors.Is(err, errInTheWay) {
			return nil // the report says so
		}
		return err
	})
}

// FileLink links to a file of the part by the name it has in its folder.
func FileLink(p disk.Place, file string) string {
	name := strings.TrimPrefix(file, p.Under("")+"/")
	if name == file {
		name = path.Base(file)
	}
	return words.Link(words.Code(name), words.Href(p.Report(), file))
}
