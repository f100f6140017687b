package disk

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"gambeson/analysis/mesh"
)

// Orphans lists the places, in the order of their paths, of all parts below root
// that have findings of ours and are no longer there. Of the parts that are, and
// of the members of their archives, no report is looked at. Folders that cannot be
// read are left out.
func Orphans(root string) []Place {
	var found []Place
	_ = filepath.WalkDir(root, func(dir string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && dir != root && strings.HasPrefix(d.Name(), ".") {
			return fs.SkipDir
		}
		of, ours := cutEnd(dir, fitEnd)
		if !d.IsDir() || !ours || !mesh.Known(of) {
			return nil
		}
		if _, err := os.Stat(of); errors.Is(err, fs.ErrNotExist) { // or its name had to be shortened
			for _, p := range reports(root, dir) {
				if _, err := os.Stat(filepath.Join(root, filepath.FromSlash(p.Part))); errors.Is(err, fs.ErrNotExist) {
					found = append(found, p)
				}
			}
		}
		return fs.SkipDir
	})
	return found
}

// Members lists the places of the members of an archive that have findings of
// ours.
func Members(archive Place) []Place {
	dir := filepath.Join(archive.Root, filepath.FromSlash(archive.Under("")))
	var found []Place
	for _, p := range reports(archive.Root, dir) {
		if p.Member != "" {
			found = append(found, p)
		}
	}
	return found
}

// reports lists the places of all parts of which findings of ours lie below dir,
// whether or not the part is still there.
func reports(root, dir string) []Place {
	var found []Place
	_ = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return fs.SkipDir
		}
		if d.IsDir() && path != dir && strings.HasPrefix(d.Name(), ".") {
			return fs.SkipDir
		}
		if d.Name() != FindingsName || d.IsDir() {
			return nil
		}
		if p, ok := placeOf(root, path); ok {
			found = append(found, p)
		}
		return nil
	})
	return found
}

// placeOf reads from a findings.json which part it is about: the folder's name
// tells the file, the findings tell the member, whose label it may not show.
func placeOf(root, findings string) (Place, bool) {
	relative, err := filepath.Rel(root, filepath.Dir(findings))
	if err != nil {
		return Place{}, false
	}
	folder, ok := cutEnd(filepath.ToSlash(relative), fitEnd)
	if !ok || !mesh.Known(folder) {
		return Place{}, false
	}
	p := Place{Root: root, Part: folder}
	if at := strings.Index(strings.ToLower(folder), ".zip"+fitEnd+"/"); at >= 0 {
		p.Part = folder[:at+len(".zip")]
	}
	var f struct {
		Part string `json:"part"`
	}
	data, err := os.ReadFile(findings)
	if err != nil || json.Unmarshal(data, &f) != nil {
		return Place{}, false
	}
	if long := (Place{Root: root, Part: f.Part}); long.Under("") == filepath.ToSlash(relative) {
		return long, true // also where its name had to be shortened
	}
	part := strings.ToValidUTF8(p.Part, "\ufffd") // as encoding/json writes it
	p.Member = strings.TrimPrefix(strings.TrimPrefix(f.Part, part), "/")
	return p, part+"/"+p.Member == f.Part || p.Member == "" && part == f.Part
}
