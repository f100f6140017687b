// Package disk knows the names of what is written beside the person's files, and
// writes it there: whole or not at all, only where it differs, never outside of the
// suit folder and never over what is not ours.
package disk

import (
	"crypto/sha256"
	"encoding/hex"
	"path"
	"path/filepath"
	"strings"
	"unicode"
	"unicode/utf8"

	"gambeson/analysis/mesh"
	"gambeson/report/words"
)

// Place is where a part lies and where what is said about it goes. No other
// code knows the names of our files.
type Place struct {
	Root   string // the suit folder
	Part   string // the mesh file or archive, relative to Root, with slashes
	Member string // label of a member of an archive, "" for a file of its own
}

// Names of our files. A report is NAME.stl.md, its folder NAME.stl.fit.
const (
	SuitName     = "SUIT.md"
	SuitFolder   = "SUIT.fit"   // what belongs to the suit as a whole
	detailsName  = "details.md" // in suitFolder: the reasons for what SUIT.md says
	FindingsName = "findings.json"
	reportEnd    = ".md"
	pageEnd      = ".html"
	fitEnd       = ".fit"
	tempStart    = ".gambeson-"
	tempEnd      = ".tmp"
	keptMark     = "kept-" // a report that the person had changed above their notes
)

// The longest name that common file systems take is 255 bytes (NAME_MAX,
// limits.h; APFS and NTFS count 255 characters); pageEnd is the longest end
// that is put behind a name.
const longestBase = 255 - len(pageEnd)

// A label of a member deeper or longer than this keeps its last name only, so
// that its report stays well below the 4096 bytes of PATH_MAX.
const (
	deepestLabel = 16
	longestLabel = 1024
)

// Name is how the part is called in reports and findings:
// "legs/greave-left.stl", "kit.zip/legs/a.stl".
func (p Place) Name() string {
	if p.Member == "" {
		return p.Part
	}
	return p.Part + "/" + p.Member
}

// Archive returns the place of the file that holds the member.
func (p Place) Archive() Place { return Place{Root: p.Root, Part: p.Part} }

// Report returns the report's path relative to Root, with slashes.
func (p Place) Report() string { return p.base() + reportEnd }

// Page returns the path of the page beside the report, as Report does.
func (p Place) Page() string { return PageOf(p.Report()) }

// Under returns the path, relative to Root and with slashes, of a file in the
// part's own folder: "bands/072mm.stl" is "legs/a.stl.fit/bands/072mm.stl".
// With "" it is that folder. Findings.Bands and Pieces name files this way.
func (p Place) Under(file string) string { return path.Join(p.base()+fitEnd, file) }

// base is the path to which the ends of our names are put.
func (p Place) base() string {
	dir, name := path.Split(p.Part)
	whole := path.Join(dir, shorten(name))
	if p.Member == "" {
		return whole
	}
	return path.Join(whole+fitEnd, label(p.Member))
}

// shorten cuts a name for which the ends of our names would leave no room. A
// hash of the whole name keeps two long names apart; the extension stays.
func shorten(name string) string {
	if len(name) <= longestBase {
		return name
	}
	return tagged(name, name)
}

// longestExtension is how long the end of a name may be to count as its
// extension: those of meshes have four bytes.
const longestExtension = 16

// tagged puts a hash of whole between a name's stem and its extension.
func tagged(name, whole string) string {
	sum := sha256.Sum256([]byte(whole))
	extension := path.Ext(name)
	if len(extension) > longestExtension {
		extension = ""
	}
	end := "~" + hex.EncodeToString(sum[:5]) + extension
	stem := strings.TrimSuffix(name, extension)
	if room := max(0, longestBase-len(end)); len(stem) > room {
		cut := room
		for cut > 0 && !utf8.RuneStart(stem[cut]) {
			cut--
		}
		stem = stem[:cut]
	}
	return stem + end
}

// label turns the name of a member, which anybody may have made up, into a
// relative path that stays in its folder on every system and meets none of
// our own names. A name that had to be changed is tagged with its hash.
func label(member string) string {
	var names []string
	changed := false
	for part := range strings.SplitSeq(strings.ReplaceAll(member, `\`, "/"), "/") {
		if part == "" || part == "." || part == ".." {
			changed = true
			continue
		}
		clean := harmless(part)
		changed = changed || clean != part
		names = append(names, clean)
	}
	changed = changed || strings.Contains(member, `\`)
	if len(names) == 0 {
		names, changed = []string{"_"}, true
	}
	last := len(names) - 1
	for i, name := range names[:last] {
		if Ours(name) || strings.EqualFold(name, FindingsName) {
			names[i], changed = name+"_", true
		}
		if len(names[i]) > longestBase {
			names[i], changed = tagged(names[i], names[i]), true
		}
	}
	if len(names) > deepestLabel || len(member) > longestLabel {
		names, last, changed = names[last:], 0, true
	}
	if changed {
		names[last] = tagged(names[last], member)
	}
	names[last] = shorten(names[last])
	return path.Join(names...)
}

// harmless replaces in one name what some file system refuses or reads as
// something else: control and format characters, the reserved ones of
// Windows, its device names, a leading dot, trailing dots and blanks.
func harmless(name string) string {
	clean := strings.Map(func(r rune) rune {
		if r == utf8.RuneError || unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp) || words.Bidi(r) || strings.ContainsRune(`<>:"/\|?*`, r) {
			return '_'
		}
		return r
	}, strings.ToValidUTF8(name, "_"))
	if strings.HasPrefix(clean, ".") {
		clean = "_" + clean[1:]
	}
	if trimmed := strings.TrimRight(clean, ". "); trimmed != clean {
		clean = trimmed + "_"
	}
	if stem, _, _ := strings.Cut(clean, "."); device(stem) {
		clean = "_" + clean
	}
	return clean
}

// device reports whether Windows takes a name for a device, whatever its
// extension ("Naming Files, Paths, and Namespaces", Microsoft).
func device(stem string) bool {
	stem = strings.ToUpper(strings.TrimRight(stem, " "))
	switch stem {
	case "CON", "PRN", "AUX", "NUL":
		return true
	}
	if len(stem) == 4 && (strings.HasPrefix(stem, "COM") || strings.HasPrefix(stem, "LPT")) {
		return stem[3] >= '0' && stem[3] <= '9'
	}
	return false
}

// Ours reports whether a path, absolute or relative, is something that the
// program writes: a report of a mesh file, anything in or below a folder
// NAME.stl.fit (or .3mf, .obj, .zip, in any case) or SUIT.fit, SUIT.md, a
// temporary file.
// The person's meshes and TOML files are not. What is ours is never input.
func Ours(file string) bool {
	names := strings.Split(filepath.ToSlash(file), "/")
	for _, name := range names {
		if of, ok := cutEnd(name, fitEnd); ok && (mesh.Known(of) || name == SuitFolder) {
			return true
		}
	}
	name := names[len(names)-1]
	if strings.HasPrefix(name, tempStart) && strings.HasSuffix(name, tempEnd) {
		return true
	}
	for _, end := range []string{reportEnd, pageEnd} {
		of, ok := cutEnd(name, end)
		if ok && (mesh.Known(of) || strings.EqualFold(of, "SUIT") || strings.HasPrefix(of, "SUIT."+keptMark)) {
			return true
		}
	}
	return false
}

// cutEnd is strings.CutSuffix that takes upper case for lower.
func cutEnd(name, end string) (string, bool) {
	if at := len(name) - len(end); at >= 0 && strings.EqualFold(name[at:], end) {
		return name[:at], true
	}
	return name, false
}

// CutFrom names the part from which a mesh in a part's own folder was cut, both with
// slashes from the suit folder on; ok is false where the mesh lies in none. What lies
// in an archive has its folder beside the archive.
func CutFrom(file string) (part string, ok bool) {
	at := strings.LastIndex(file, fitEnd+"/")
	if at < 0 {
		return "", false
	}
	return strings.ReplaceAll(file[:at], fitEnd+"/", "/"), true
}

// PageOf is the path of the page beside a report.
func PageOf(report string) string { return strings.TrimSuffix(report, reportEnd) + pageEnd }

// TwinOf leads a link to a report to its page; plain is the link unescaped.
func TwinOf(to, plain string) string {
	to, anchor, found := strings.Cut(to, "#")
	if found {
		anchor = "#" + anchor
		plain, _, _ = strings.Cut(plain, "#")
	}
	of, is := strings.CutSuffix(path.Base(plain), reportEnd)
	if is && (mesh.Known(of) || of+reportEnd == SuitName || plain == SuitFolder+"/"+detailsName) {
		return strings.TrimSuffix(to, reportEnd) + pageEnd + anchor
	}
	return to + anchor
}

// KeptName names the copy of a part's report that the person had changed.
func (p Place) KeptName(hash string) string { return p.Under(keptMark + hash + reportEnd) }

// KeptSuit names the copy of a SUIT.md that the person had changed.
func KeptSuit(hash string) string { return "SUIT." + keptMark + hash + reportEnd }

// DetailsReport is where the reasons lie.
const DetailsReport = SuitFolder + "/" + detailsName

// KeptDetails names the copy of details that the person had changed.
func KeptDetails(hash string) string { return SuitFolder + "/" + keptMark + hash + reportEnd }
