package suit

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"maps"
	"path"
	"slices"
	"strings"

	"gambeson/analysis/mesh"
	"gambeson/report/disk"
	"gambeson/report/picture"
)

// Load is one print to be written: the parts on it as one mesh, the bed from above,
// and what it was laid out of.
type Load struct {
	Mesh *mesh.Mesh
	Map  *image.RGBA
	Of   []Laid
}

// Laid is a file that lies on a load: its name, relative to the suit folder, and what
// it is, in whatever words, as long as they change with what would be printed.
type Laid struct {
	Name string `json:"name"`
	Is   string `json:"is"`
}

// loadsFolder is where the prints of a suit lie, relative to the suit folder.
const loadsFolder = disk.SuitFolder + "/loads"

// In it lies, where some loads were taken away since they were laid out, a word about it.
const loadsGone = loadsFolder + "/gone.txt"

// LoadsIndex tells what the loads were laid out of, and which of them were taken away
// since. It is relative to the suit folder.
const LoadsIndex = loadsFolder + "/loads.json"

// index tells what the loads of a folder were laid out of, and which of them are no
// longer there.
type index struct {
	Bed   string            `json:"bed"`
	Loads map[string][]Laid `json:"loads"` // by the name of the mesh, relative to the suit folder
	Gone  Dropped           `json:"gone,omitzero"`
}

// Dropped are the loads that were taken away since all were last laid out, and why. The
// zero value is none.
type Dropped struct {
	Loads []string `json:"loads"`         // the meshes, relative to the suit folder, in order
	Parts []string `json:"parts"`         // of these something on them has changed or went, in order
	Bed   bool     `json:"bed,omitempty"` // the bed is another
}

// WriteLoads writes loads/load-1.stl, load-1.png, … into the suit's own folder
// and removes those of earlier runs. bed names the bed that they were laid out for. It
// returns the names of the meshes, relative to root. A file there that is not ours is
// an error and left alone.
func WriteLoads(root, bed string, loads []Load) ([]string, error) {
	dir, err := disk.Open(root)
	if err != nil {
		return nil, err
	}
	defer dir.Close()
	var names []string
	for i := range loads {
		name := path.Join(loadsFolder, fmt.Sprintf("load-%d.stl", i+1))
		if head := dir.Head(name, int64(len(disk.SolidHeader))); head != nil && string(head) != disk.SolidHeader {
			return nil, inTheWay(name)
		}
		names = append(names, name)
	}
	// Without the index nobody takes a load for one of the earlier ones meanwhile.
	for _, of := range [2]struct{ name, begin string }{{LoadsIndex, indexBegin}, {loadsGone, goneText}} {
		if head := dir.Head(of.name, int64(len(of.begin))); head != nil && string(head) != of.begin {
			return nil, inTheWay(of.name)
		}
		if err := dir.Remove(of.name); err != nil {
			return nil, err
		}
	}
	of := index{Bed: bed, Loads: map[string][]Laid{}}
	keep := map[string]bool{}
	for i, l := range loads {
		drawn := strings.TrimSuffix(names[i], ".stl") + ".png"
		if err := dir.WriteSolid(names[i], l.Mesh); err != nil {
			return nil, err
		}
		data, err := picture.PNG(l.Map)
		if err != nil {
			return nil, disk.Failed(drawn, "cannot be drawn", err)
		}
		if err := dir.Write(drawn, data); err != nil {
			return nil, err
		}
		keep[names[i]], keep[drawn] = true, true
		of.Loads[names[i]] = l.Of
	}
	for _, name := range dir.List(loadsFolder) {
		file := path.Join(loadsFolder, name)
		if keep[file] || !ourLoad(name) || path.Ext(name) == ".stl" && !bytes.HasPrefix(dir.Head(file, 80), []byte(disk.SolidHeader)) {
			continue
		}
		if err := dir.Remove(file); err != nil {
			return nil, err
		}
	}
	return names, writeIndex(dir, of)
}

// DropLoads takes away the loads of a suit folder that would no longer print what is
// there now: of which something has changed or is gone, or which were laid out for
// another bed. now says what a file is now, "" where there is none. It leaves a word in
// their place, and returns the meshes that were taken away just now, and all that were
// since the loads were laid out. Of a folder that cannot be opened there is none.
func DropLoads(root, bed string, now func(name string) string) (just []string, gone Dropped, err error) {
	dir, err := disk.Open(root)
	if err != nil {
		return nil, gone, nil // who writes SUIT.md, which follows, says so
	}
	defer dir.Close()
	of, err := readIndex(dir)
	if err != nil {
		return nil, gone, err
	}
	for _, name := range slices.Sorted(maps.Keys(of.Loads)) {
		if !strings.HasPrefix(name, loadsFolder+"/") || !ourLoad(path.Base(name)) || path.Clean(name) != name {
			continue
		}
		changed := slices.DeleteFunc(slices.Clone(of.Loads[name]), func(l Laid) bool { return now(l.Name) == l.Is })
		if of.Bed == bed && len(changed) == 0 {
			continue
		}
		if head := dir.Head(name, int64(len(disk.SolidHeader))); head != nil {
			if string(head) != disk.SolidHeader {
				continue // somebody put a file of his own there
			}
			for _, file := range []string{name, strings.TrimSuffix(name, ".stl") + ".png"} {
				if err := dir.Remove(file); err != nil {
					return just, of.Gone, err
				}
			}
			if of.Bed != bed {
				of.Gone.Bed, changed = true, nil // that alone may lay all of them otherwise
			}
			of.Gone.add(name, changed)
			just = append(just, name)
		}
		delete(of.Loads, name)
	}
	if len(just) == 0 {
		return nil, of.Gone, nil
	}
	if err := writeIndex(dir, of); err != nil {
		return just, of.Gone, err
	}
	return just, of.Gone, dir.Rewrite(loadsGone, func(old []byte) ([]byte, error) {
		if old != nil && !bytes.HasPrefix(old, []byte(goneText)) {
			return nil, nil // somebody put a file of his own there
		}
		text := goneText
		for _, name := range of.Gone.Loads {
			text += path.Base(name) + "\n"
		}
		return []byte(text), nil
	})
}

// add adds a load with what has changed of that which lies on it.
func (g *Dropped) add(load string, changed []Laid) {
	with := func(names []string, name string) []string {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
		slices.Sort(names)
		return names
	}
	g.Loads = with(g.Loads, load)
	for _, l := range changed {
		part, cut := disk.CutFrom(l.Name)
		if !cut {
			part = l.Name
		}
		g.Parts = with(g.Parts, part)
	}
}

// LoadsMissed tells whether loads were taken away from a suit folder since they were laid
// out.
func LoadsMissed(root string) bool {
	dir, err := disk.Open(root)
	if err != nil {
		return false
	}
	defer dir.Close()
	of, err := readIndex(dir)
	return err == nil && len(of.Gone.Loads) > 0
}

// goneText begins what is said of loads that were taken away; their names follow.
const goneText = `Some bed loads were taken away, because they would print what no longer holds: a band
on them was cut anew since they were laid out, or is gone, or the bed is another.
"gambeson loads" and the name of the suit folder lays out what there is now.

Taken away:
`

// indexBegin is what every index begins with.
const indexBegin = `{
  "bed": `

// inTheWay says that a file of somebody else has the name of one of ours.
func inTheWay(name string) error {
	return disk.Failed(name, "was not written by gambeson and is in the way; move it away", errors.New("left as it is"))
}

// readIndex reads what the loads of a folder were laid out of: nothing where there are
// none, or nobody knows what they are.
func readIndex(dir disk.Folder) (of index, err error) {
	data, _, err := dir.Read(LoadsIndex)
	if err != nil || data == nil || json.Unmarshal(data, &of) != nil {
		return index{}, err
	}
	return of, nil
}

func writeIndex(dir disk.Folder, of index) error {
	data, err := json.MarshalIndent(of, "", "  ")
	if err != nil {
		return disk.Failed(LoadsIndex, "cannot be written", err)
	}
	return dir.Write(LoadsIndex, append(data, '\n'))
}

// ourLoad reports whether a name is one that WriteLoads gives.
func ourLoad(name string) bool {
	n, ok := strings.CutPrefix(name, "load-")
	n, end, _ := strings.Cut(n, ".")
	return ok && n != "" && strings.Trim(n, "0123456789") == "" && (end == "stl" || end == "png")
}
