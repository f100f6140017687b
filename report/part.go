// Package report writes what was found of one part beside its file: the report in
// Markdown and as a page, pictures, bands and findings.json in the folder NAME.stl.fit.
//
// It arranges and computes nothing: numbers arrive finished in analysis.Findings. Each
// chapter has a file. What else it takes lies in rooms of their own: disk knows the names
// of our files and writes them, paper keeps the person's notes, words says numbers and
// names, answer says in short what the findings come to, step what to do next, drawing
// and picture what is shown. report/suit writes what is said of all parts together.
package report

import (
	"encoding/json"
	"fmt"
	"path"
	"strings"

	"gambeson/analysis/mesh"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/drawing"
	"gambeson/report/paper"
)

// Document is everything that a part's report is made of.
type Document struct {
	drawing.Part                 // what was found, and what that is drawn from
	Fingerprint  string          // letters and digits; "" makes the report one that is never up to date
	Bands        []Solid         // meshes to write into the part's own folder
	Refusal      *answer.Refusal // the file could not be read: nothing else is said
}

// Solid is a mesh to be written as binary STL.
type Solid struct {
	File string // name in the part's own folder, with slashes: "bands/072mm.stl"
	Mesh *mesh.Mesh
}

// Write writes a part's bands, pictures and findings and, last, its report:
// where the report is there, the rest is complete. Then bands and pictures of
// earlier runs are removed. Files that already hold what they should are not
// touched. After an error the old report stands unharmed.
func Write(p disk.Place, d Document) error {
	dir, err := disk.Open(p.Root)
	if err != nil {
		return err
	}
	defer dir.Close()
	d.Findings.Fingerprint = d.Fingerprint
	var drawn drawing.Pictures
	if d.Refusal == nil {
		drawn = drawing.Draw(d.Part)
		if err := writeSolids(dir, p, d.Bands); err != nil {
			return err
		}
		if err := writePictures(dir, p, drawn); err != nil {
			return err
		}
	}
	data, err := json.Marshal(d.Findings)
	if err != nil {
		return fmt.Errorf("%s: the findings hold what JSON cannot: %w", disk.Shown(p.Name()), err)
	}
	if err := dir.Write(p.Under(disk.FindingsName), append(data, '\n')); err != nil {
		return err
	}
	err = paper.Put(dir, p.Report(), d.Fingerprint, p.KeptName, func(kept []string) string {
		if d.Refusal != nil {
			return refusalText(p, *d.Refusal, kept, dir.List(p.Under("bands")))
		}
		return d.text(p, drawn, kept)
	})
	if err != nil || d.Refusal != nil {
		return err // what an unreadable file left behind may still be of use
	}
	return tidy(dir, p, d.Bands, drawn)
}

func writeSolids(dir disk.Folder, p disk.Place, solids []Solid) error {
	for _, s := range solids {
		if err := dir.WriteSolid(p.Under(s.File), s.Mesh); err != nil {
			return err
		}
	}
	return nil
}

func writePictures(dir disk.Folder, p disk.Place, drawn drawing.Pictures) error {
	for _, d := range drawn.All() {
		if d.Err != nil {
			return disk.Failed(p.Under(d.File), "cannot be drawn", d.Err)
		}
		if err := dir.Write(p.Under(d.File), d.PNG); err != nil {
			return err
		}
	}
	return nil
}

// tidy removes our meshes and pictures of earlier runs: a band that is no
// longer in the report would be printed in error.
func tidy(dir disk.Folder, p disk.Place, solids []Solid, drawn drawing.Pictures) error {
	keep := map[string]bool{}
	for _, s := range solids {
		keep[path.Clean(s.File)] = true
	}
	for _, d := range drawn.All() {
		keep[d.File] = true
	}
	var old []string
	for _, sub := range []string{"bands", "pieces", "singles", "panel"} {
		for _, name := range dir.List(p.Under(sub)) {
			file := path.Join(sub, name)
			if !keep[file] && strings.HasPrefix(string(dir.Head(p.Under(file), 80)), disk.SolidHeader) {
				old = append(old, file)
			}
		}
	}
	for _, name := range dir.List(p.Under("")) {
		if !keep[name] && drawing.Ours(name) {
			old = append(old, name)
		}
	}
	for _, file := range old {
		if err := dir.Remove(p.Under(file)); err != nil {
			return err
		}
	}
	return nil
}
