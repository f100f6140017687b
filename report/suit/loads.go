package suit

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"path"
	"strings"

	"gambeson/analysis/mesh"
	"gambeson/report/disk"
	"gambeson/report/picture"
)

// Load is one print to be written: the parts on it as one mesh, and the bed
// from above.
type Load struct {
	Mesh *mesh.Mesh
	Map  *image.RGBA
}

// loadsFolder is where the prints of a suit lie, relative to the suit folder.
const loadsFolder = disk.SuitFolder + "/loads"

// WriteLoads writes loads/load-1.stl, load-1.png, … into the suit's own folder
// and removes those of earlier runs. It returns the names of the meshes,
// relative to root. A file there that is not ours is an error and left alone.
func WriteLoads(root string, loads []Load) ([]string, error) {
	dir, err := disk.Open(root)
	if err != nil {
		return nil, err
	}
	defer dir.Close()
	var names []string
	for i := range loads {
		name := path.Join(loadsFolder, fmt.Sprintf("load-%d.stl", i+1))
		if head := dir.Head(name, int64(len(disk.SolidHeader))); head != nil && string(head) != disk.SolidHeader {
			return nil, disk.Failed(name, "was not written by gambeson and is in the way; move it away", errors.New("left as it is"))
		}
		names = append(names, name)
	}
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
	return names, nil
}

// ourLoad reports whether a name is one that WriteLoads gives.
func ourLoad(name string) bool {
	n, ok := strings.CutPrefix(name, "load-")
	n, end, _ := strings.Cut(n, ".")
	return ok && n != "" && strings.Trim(n, "0123456789") == "" && (end == "stl" || end == "png")
}
