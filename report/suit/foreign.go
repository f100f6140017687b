package suit

import (
	"path"
	"slices"
	"strings"

	"gambeson/report/words"
)

// Foreign tells of the name of a file that is not read, though it is of a format for
// meshes or for archives in common use; archive, which of both.
func Foreign(name string) (foreign, archive bool) {
	name = strings.ToLower(name)
	switch path.Ext(name) {
	case ".ply", ".off", ".amf", ".step", ".stp", ".iges", ".igs", ".glb", ".gltf", ".dae", ".x3d", ".wrl":
		return true, false
	case ".rar", ".7z", ".tar", ".tgz":
		return true, true
	}
	packed := strings.HasSuffix(name, ".tar.gz")
	return packed, packed
}

// foreign names the files of formats that are not read.
func (b *page) foreign(names []string) {
	var meshes, archives []string
	for _, n := range names {
		if _, archive := Foreign(n); archive {
			archives = append(archives, words.Code(n))
		} else {
			meshes = append(meshes, words.Code(n))
		}
	}
	named := func(files []string) string {
		if more := len(files) - mostNamed; more > 1 {
			files = append(slices.Clone(files[:mostNamed]), words.Count(more)+" more")
		}
		return words.And(files)
	}
	var items []string
	if len(meshes) > 0 {
		items = append(items, named(meshes)+": save "+words.Verb(meshes, "it", "them")+" as STL, 3MF or OBJ in a modelling program.")
	}
	if len(archives) > 0 {
		items = append(items, named(archives)+": unpack "+words.Verb(archives, "it", "them")+"; of archives only ZIP is read.")
	}
	if len(items) == 0 {
		return
	}
	b.Heading("Not looked into")
	b.Block("These formats are not read.")
	b.Items(false, items)
}
