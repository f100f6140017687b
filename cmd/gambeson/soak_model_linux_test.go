package main

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/report/disk"
	"gambeson/report/paper"

	"github.com/stretchr/testify/require"
)

// content is what a file of the person's holds. Of a mesh it knows by what its
// report must be told from that of any other.
type content struct {
	bytes []byte
	good  float64            // the length in mm of a bar that can be read, or 0
	bad   string             // what the refusal must say, or ""
	rows  map[string]content // of an archive: its members
}

// mesh tells whether a file with this content is one to report on.
func (c content) mesh() bool { return c.good > 0 || c.bad != "" || c.rows != nil }

// whole tells whether no report on it may ever be a refusal.
func (c content) whole() bool { return c.good > 0 || !c.mesh() }

// bar is a box as a file of the format that the name asks for. Each number
// makes another length, between 40 and 140 mm.
func bar(t *testing.T, name string, number int) content {
	length := 40 + float64(number%10_000)*0.01
	m := shape.Bar{X: length, Y: 15, Z: 10}.Mesh()
	var b bytes.Buffer
	var err error
	switch ext := strings.ToLower(path.Ext(name)); {
	case ext == ".obj":
		err = shape.WriteOBJ(&b, m)
	case ext == ".3mf":
		err = shape.Write3MF(&b, m, "millimeter")
	case number%2 == 0:
		err = shape.WriteASCII(&b, m, "bar")
	default:
		err = mesh.WriteSTL(&b, m, "bar")
	}
	require.NoError(t, err)
	return content{bytes: b.Bytes(), good: length}
}

// cutBar is a bar of which only some facets are there yet.
func cutBar(t *testing.T, number int) content {
	whole := bar(t, "x.stl", 2*number+1)
	facets := number % 12
	return content{bytes: whole.bytes[:84+50*facets], bad: fmt.Sprintf("holds %d", facets)}
}

// nonsense is a text that no reader can take for a whole mesh: the refusal has
// to name the line.
func nonsense(name string, number int) content {
	line := 1 + number%500
	if strings.EqualFold(path.Ext(name), ".obj") {
		text := strings.Repeat("v 0 0 0\n", line-1) + "f 1 2 99999\n"
		return content{bytes: []byte(text), bad: fmt.Sprintf("line %d", line)}
	}
	text := "solid x\n" + strings.Repeat("facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\n", line) +
		"facet normal 0 0 1\nouter loop\nvertex nan 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid x\n"
	return content{bytes: []byte(text), bad: fmt.Sprintf("line %d", 1+7*line+3)}
}

// archive is a zip archive of one to three members, the last not readable.
func archive(t *testing.T, number int) content {
	c := content{rows: map[string]content{"one.stl": bar(t, "one.stl", number)}}
	if number%3 > 0 {
		c.rows["in/two.obj"] = bar(t, "two.obj", number+1)
	}
	if number%3 > 1 {
		c.rows["three.stl"] = nonsense("three.stl", number)
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range slices.Sorted(keys(c.rows)) {
		w, err := z.Create(name)
		require.NoError(t, err)
		_, err = w.Write(c.rows[name].bytes)
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	c.bytes = b.Bytes()
	return c
}

// keys is maps.Keys for slices.Sorted of any map by name.
func keys[V any](m map[string]V) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// model is what the person did, and so what must be true at rest. Paths are
// relative to a folder that holds the suit and, beside it, a place outside.
type model struct {
	base  string
	files map[string]content // the person's
	links map[string]string  // symbolic links, with where they lead as it is written
	mayBe map[string]bool    // files that were not whole at some time since the last rest
	known map[string]string  // parts that had a report at the last rest, with their file
	suits []float64          // bed widths that suit.toml had when it was last read, or may have had
	bed   float64            // bed width that the reports are made for, 0 where there are none
	kept  bool               // suit.toml cannot be used
	doubt bool               // or perhaps it can
	read  bool               // a good suit.toml has been read: what it said outlives the daemon
	notes map[string]string  // what the person wrote below the reports, by path of the report

	moved    bool // a folder was, since the last rest
	goodOnes bool // there was a good suit.toml at some time since the last start without one
}

const suitDir = "suit"

func (m *model) abs(name string) string { return filepath.Join(m.base, filepath.FromSlash(name)) }

// rows are the parts that are there, by name: path below the suit folder, for a
// member with its own behind it.
func (m *model) rows() map[string]content {
	rows := map[string]content{}
	add := func(name string, c content) {
		part, inside := strings.CutPrefix(name, suitDir+"/")
		if !inside || !accept(m.abs(name)) || !mesh.Known(name) {
			return
		}
		if c.rows == nil {
			rows[part] = c
		}
		for member, c := range c.rows {
			rows[part+"/"+member] = c
		}
	}
	for name, c := range m.files {
		add(name, c)
	}
	for name := range m.links {
		if target, ok := m.leads(name); ok {
			add(name, m.files[target])
		}
	}
	return rows
}

// leads follows a link to a file of the suit.
func (m *model) leads(name string) (string, bool) {
	at, err := filepath.EvalSymlinks(m.abs(name))
	if err != nil {
		return "", false
	}
	target, err := filepath.Rel(m.base, at)
	target = filepath.ToSlash(target)
	_, there := m.files[target]
	return target, err == nil && there && strings.HasPrefix(target, suitDir+"/")
}

// place is where the report on a part lies.
func (m *model) place(name string) disk.Place {
	p := disk.Place{Root: m.abs(suitDir), Part: name}
	if at := strings.Index(strings.ToLower(name), ".zip/"); at >= 0 {
		p.Part, p.Member = name[:at+4], name[at+5:]
	}
	return p
}

// wrong tells what is not as it must be at rest, nothing where all is.
func (m *model) wrong() error {
	rows := m.rows()
	summary, err := os.ReadFile(m.abs(suitDir + "/SUIT.md"))
	if err != nil && len(rows) > 0 {
		return err
	}
	m.bed = 0
	for _, name := range slices.Sorted(keys(rows)) {
		if err := m.wrongReport(name, rows[name]); err != nil {
			return fmt.Errorf("%q (%s): %w", name, rows[name].told(), err)
		}
	}
	for _, check := range []func(string, map[string]content) error{m.wrongTable, m.wrongGone, m.wrongProblems} {
		if err := check(string(summary), rows); err != nil {
			return fmt.Errorf("SUIT.md: %w", err)
		}
	}
	return m.wrongFiles()
}

// wrongReport compares the report on one part with the bytes of its file, and
// the bed that it was made for with those of the other parts.
func (m *model) wrongReport(name string, c content) error {
	p := m.place(name)
	text, err := os.ReadFile(filepath.Join(p.Root, filepath.FromSlash(p.Report())))
	if err != nil {
		return err
	}
	data, err := os.ReadFile(filepath.Join(p.Root, filepath.FromSlash(p.Under("findings.json"))))
	if err != nil {
		return err
	}
	var f analysis.Findings
	if err := json.Unmarshal(data, &f); err != nil {
		return err
	}
	if f.Part != strings.ToValidUTF8(name, "\ufffd") {
		return fmt.Errorf("the findings are of %q", f.Part)
	}
	if !utf8.Valid(text) {
		return errors.New("the report is not UTF-8")
	}
	if bytes.Contains(text, []byte("no longer in the folder")) {
		return errors.New("it is there, and said to be gone")
	}
	why, refused := f.Refusal()
	switch {
	case c.bad != "":
		if !refused || !strings.Contains(why, c.bad) || !bytes.Contains(text, []byte("could not be read")) {
			return fmt.Errorf("want it refused with %q, got %q", c.bad, why)
		}
		return nil
	case refused:
		return fmt.Errorf("refused: %s", why)
	case math.Abs(f.Mesh.Bounds[0]-c.good) > 0.002:
		return fmt.Errorf("the report is on a bar of %.3f mm, not of %.3f", f.Mesh.Bounds[0], c.good)
	}
	have, ok := paper.Fingerprint(p)
	if !ok || have != f.Fingerprint {
		return errors.New("report and findings are not of one run")
	}
	// The margin is 5 mm on each side: what fits the bed is (width − 10) / length.
	width := f.Bed.Largest.AsIs/100*c.good + 10
	if m.bed == 0 {
		m.bed = width
	}
	if math.Abs(width-m.bed) > 0.05 || !slices.ContainsFunc(m.suits, func(w float64) bool { return math.Abs(w-width) < 0.05 }) {
		return fmt.Errorf("made for a bed of %.2f mm, want %.1f, others have %.2f", width, m.suits, m.bed)
	}
	return nil
}

// chapter returns the lines of a chapter.
func chapter(text, title string) []string {
	_, after, _ := strings.Cut(text, "\n## "+title+"\n")
	body, _, _ := strings.Cut(after, "\n## ")
	return strings.Split(body, "\n")
}

// plain tells names that stand in Markdown as they are.
func plain(name string) bool {
	return strings.Trim(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-/. ") == ""
}

func (m *model) wrongTable(summary string, rows map[string]content) error {
	var listed []string
	for _, line := range chapter(summary, "Parts") {
		if strings.HasPrefix(line, "| [") {
			listed = append(listed, line)
		}
	}
	if len(listed) != len(rows) {
		return fmt.Errorf("%d parts in the table, want %d", len(listed), len(rows))
	}
	for _, name := range slices.Sorted(keys(rows)) {
		if plain(name) && !slices.ContainsFunc(listed, func(l string) bool { return strings.HasPrefix(l, "| [`"+name+"`]") }) {
			return fmt.Errorf("%q is not in the table", name)
		}
	}
	return nil
}

// wrongGone checks that what had a report and is no longer there is said so,
// and nothing that is there.
func (m *model) wrongGone(summary string, rows map[string]content) error {
	listed := chapter(summary, "No longer in the folder")
	said := func(name string) bool {
		return slices.ContainsFunc(listed, func(l string) bool { return strings.HasPrefix(l, "- [`"+name+"`]") })
	}
	for _, name := range slices.Sorted(keys(rows)) {
		if plain(name) && said(name) {
			return fmt.Errorf("%q is there, and listed as gone", name)
		}
	}
	for _, name := range slices.Sorted(keys(m.known)) {
		_, there := rows[name]
		_, again := m.files[suitDir+"/"+name] // an archive that can be read now: its members are the parts
		if there || again || m.unread(m.known[name]) {
			continue
		}
		if _, err := os.Stat(m.abs(suitDir + "/" + m.place(name).Under("findings.json"))); err != nil && m.moved {
			continue // its report went along with a folder
		}
		if plain(name) && !said(name) {
			return fmt.Errorf("%q is gone, and not listed so", name)
		}
		if m.moved {
			continue // its report may have come back with a folder
		}
		p := m.place(name)
		text, err := os.ReadFile(filepath.Join(p.Root, filepath.FromSlash(p.Report())))
		if err == nil && bytes.HasPrefix(text, []byte("<!-- gambeson report")) && !bytes.Contains(text, []byte("no longer in the folder")) {
			return fmt.Errorf("%q is gone, and its report does not say so", name)
		}
	}
	return nil
}

// unread tells an archive that cannot be read now: what was in it is neither
// there nor gone.
func (m *model) unread(file string) bool {
	c, there := m.files[suitDir+"/"+file]
	return there && c.bad != "" && strings.HasSuffix(file, ".zip")
}

func (m *model) wrongProblems(summary string, rows map[string]content) error {
	if said := strings.Contains(summary, "`suit.toml` cannot be used"); said != m.kept && !m.doubt && len(rows) > 0 {
		return fmt.Errorf("suit.toml cannot be used is %v, and said is %v", m.kept, said)
	}
	return nil
}

// wrongFiles checks that the person's files are as they left them, that their
// notes are there, and that there is nothing else but what we write.
func (m *model) wrongFiles() error {
	for name, want := range m.files {
		if have, err := os.ReadFile(m.abs(name)); err != nil || !bytes.Equal(have, want.bytes) {
			return fmt.Errorf("the person's %q is not as they left it (%v)", name, err)
		}
	}
	for name, want := range m.notes {
		if have, err := os.ReadFile(m.abs(name)); err != nil || !bytes.HasSuffix(have, []byte(want)) {
			return fmt.Errorf("%q does not end with the notes %q (%v)", name, want, err)
		}
	}
	return filepath.WalkDir(m.base, func(at string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(m.base, at)
		name := filepath.ToSlash(rel)
		_, theirs := m.files[name]
		if _, link := m.links[name]; theirs || link {
			return err
		}
		if !disk.Ours(at) || strings.HasSuffix(name, ".tmp") {
			return fmt.Errorf("%q is nobody's", name)
		}
		return err
	})
}

// rest takes note of what has a report now that all is at rest.
func (m *model) rest() {
	m.moved = false
	m.mayBe, m.known = map[string]bool{}, map[string]string{}
	m.read = m.read || len(m.files[suitDir+"/suit.toml"].bytes) > 0 && !m.kept
	switch {
	case !m.kept && !m.doubt && m.read:
		m.suits = m.suits[len(m.suits)-1:]
	case m.bed > 0: // the good one may have been overwritten before it was read
		m.suits = []float64{m.bed}
	}
	for name := range m.rows() {
		m.known[name] = m.place(name).Part
	}
	m.linksMayBe()
}

// linksMayBe notes that a link may lead to what cannot be read, also when it is
// gone by the next rest.
func (m *model) linksMayBe() {
	for name := range m.links {
		m.mayBe[name] = true
	}
}

// forgetSuit is what a start does where there is no suit.toml: it was taken away
// on purpose, so the defaults hold. What one that is broken or empty last said does
// outlive the daemon.
func (m *model) forgetSuit() {
	if _, there := m.files[suitDir+"/suit.toml"]; !there {
		m.read, m.doubt, m.kept, m.goodOnes = false, false, false, false
		m.suits = []float64{220}
	}
}
