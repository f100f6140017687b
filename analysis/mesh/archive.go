package mesh

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"context"
	"errors"
	"io"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// Member is one mesh in an archive of parts.
type Member struct {
	// Name is the entry's name made safe to show and to hang a report on:
	// valid UTF-8 without control characters, relative, parted by slashes,
	// no element "..", and unlike the name of every other member.
	Name string
	Size int64 // bytes when unpacked, as the archive claims
	Err  error // a *ReadError: why LoadMember would refuse it unread, or nil
}

// Archive reports whether the file is, by its extension, an archive of parts.
func (f *File) Archive() bool { return extension(f.path) == ".zip" }

// Members lists the meshes of an archive sorted by name, those that cannot
// be read too, with the reason. An archive without a mesh has no members and
// no error. What a file browser or this program put beside the meshes is not
// a member.
func (f *File) Members(ctx context.Context) ([]Member, error) {
	l := DefaultLimits()
	a, err := openArchive(f.f, f.info.Size(), l)
	if err == nil {
		err = a.overlaps(ctx)
	}
	if err != nil {
		return nil, located(err, f.path, "")
	}
	var members []Member
	var claimed uint64
	for _, e := range a.members() {
		if e.err == nil {
			claimed += min(e.UncompressedSize64, 1<<62/uint64(l.Members))
		}
		if e.err == nil && claimed > uint64(l.Unpacked) {
			e.err = tooLarge(l)
		}
		m := Member{Name: e.label, Size: int64(min(e.UncompressedSize64, 1<<62))}
		if e.err != nil {
			m.Err = located(e.err, f.path, e.label)
		}
		members = append(members, m)
	}
	return members, nil
}

// LoadMember reads one mesh of an archive, by its Member name. It unpacks
// into memory and never onto the disk.
func (f *File) LoadMember(ctx context.Context, name string, l Limits) (*Loaded, error) {
	loaded, err := f.loadMember(ctx, name, l.orDefault())
	if err != nil {
		return nil, located(err, f.path, name)
	}
	return loaded, nil
}

func (f *File) loadMember(ctx context.Context, name string, l Limits) (*Loaded, error) {
	a, err := openArchive(f.f, f.info.Size(), l)
	if err != nil {
		return nil, err
	}
	for _, e := range a.members() {
		if e.label != name {
			continue
		}
		if e.err != nil {
			return nil, e.err
		}
		return loadSource(ctx, &source{
			name:  e.label,
			size:  int64(min(e.UncompressedSize64, 1<<62)),
			front: func() (io.ReadCloser, error) { return a.unpack(e.File) },
		}, l)
	}
	return nil, &ReadError{Cause: "the archive holds no mesh of this name"}
}

// archive is an opened zip: an archive of parts, or the package of a 3MF.
type archive struct {
	*zip.Reader
	limits Limits
}

// directoryBytes bounds the table of contents that is held in memory: 4 KiB
// for each of the entries that are allowed, forty times a usual one.
const directoryBytes = 4 << 10

// openArchive reads the table of contents of a zip of the given size.
func openArchive(at io.ReaderAt, size int64, l Limits) (*archive, error) {
	metered := &meteredAt{at: at, left: int64(l.Members)*directoryBytes + 1<<20}
	r, err := zip.NewReader(metered, size)
	if err != nil {
		return nil, notZip(at, size, l, err)
	}
	if len(r.File) > l.Members {
		return nil, tooManyEntries(l, len(r.File))
	}
	metered.left = -1
	return &archive{Reader: r, limits: l}, nil
}

// meteredAt gives out so many bytes and no more; any number where left is -1.
type meteredAt struct {
	at   io.ReaderAt
	left int64
}

var errDirectory = errors.New("the table of contents is too large")

func (m *meteredAt) ReadAt(p []byte, off int64) (int, error) {
	if m.left >= 0 {
		if m.left -= int64(len(p)); m.left < 0 {
			m.left = 0
			return 0, errDirectory
		}
	}
	return m.at.ReadAt(p, off)
}

func tooManyEntries(l Limits, n int) error {
	cause := "it has more than " + thousands(int64(l.Members)) + " entries"
	if n > 0 {
		cause = "it has " + thousands(int64(n)) + " entries, more than the " + thousands(int64(l.Members)) + " that are read"
	}
	return &ReadError{Cause: cause, Remedy: "pack only the parts of the suit"}
}

func tooLarge(l Limits) error {
	return &ReadError{
		Cause:  "the archive unpacks to more than " + thousands(l.Unpacked>>20) + " MiB",
		Remedy: "unpack it by hand, or pack fewer parts together",
	}
}

// notZip says why a file could not be opened as a zip.
func notZip(at io.ReaderAt, size int64, l Limits, err error) error {
	again := "download or pack it again"
	var head [2]byte
	_, headErr := at.ReadAt(head[:], 0)
	switch {
	case errors.Is(err, errDirectory):
		return tooManyEntries(l, 0)
	case !errors.Is(err, zip.ErrFormat) && !ended(err):
		return systemError("", err)
	case size == 0:
		return &ReadError{Cause: "is empty", Remedy: again, Unfinished: true, Err: err}
	case headErr != nil || string(head[:]) != "PK":
		return &ReadError{Place: "byte 0", Cause: "is not a zip archive, though its name says so",
			Remedy: again, Err: err}
	case !hasDirectory(at, size):
		return &ReadError{Place: "byte " + strconv.FormatInt(size, 10), Remedy: again, Unfinished: true, Err: err,
			Cause: "the zip archive ends without its table of contents: it is cut short"}
	}
	return &ReadError{Cause: "the table of contents of the zip archive is damaged", Remedy: again, Err: err}
}

// hasDirectory reports whether the record that ends every zip is there:
// 22 bytes and a comment of up to 65 535 (APPNOTE 6.3.10, section 4.3.16).
func hasDirectory(at io.ReaderAt, size int64) bool {
	tail := make([]byte, min(size, 22+65535))
	if _, err := at.ReadAt(tail, size-int64(len(tail))); err != nil && !ended(err) {
		return false
	}
	return bytes.Contains(tail, []byte("PK\x05\x06"))
}

// overlaps refuses an archive in which two entries share packed bytes.
// No packer does that; it is how a small archive is made to unpack to
// thousands of times what deflate can give.
func (a *archive) overlaps(ctx context.Context) error {
	type span struct{ from, to int64 }
	var spans []span
	for _, e := range a.File {
		if err := ctx.Err(); err != nil {
			return err
		}
		from, err := e.DataOffset()
		if err != nil || e.CompressedSize64 == 0 {
			continue // such an entry fails, alone, when it is opened
		}
		spans = append(spans, span{from, from + int64(min(e.CompressedSize64, 1<<62))})
	}
	slices.SortFunc(spans, func(a, b span) int { return int(min(max(a.from-b.from, -1), 1)) })
	for i := 1; i < len(spans); i++ {
		if spans[i].from < spans[i-1].to {
			return &ReadError{
				Place:  "byte " + strconv.FormatInt(spans[i].from, 10),
				Cause:  "two entries of the archive share the same bytes: it is damaged, or built to unpack without end",
				Remedy: "pack the parts again",
			}
		}
	}
	return nil
}

// unpack opens an entry. The reader checks that the entry is what the table
// of contents says, and stops it where it grows out of all proportion.
// All errors, of the reader too, are ReadErrors.
func (a *archive) unpack(e *zip.File) (io.ReadCloser, error) {
	if err := unreadable(e); err != nil {
		return nil, err
	}
	if e.UncompressedSize64 > uint64(a.limits.Unpacked) {
		return nil, tooLarge(a.limits)
	}
	r, err := e.Open()
	if err != nil {
		return nil, &ReadError{Cause: "its place in the archive is damaged", Remedy: "download or pack the archive again", Err: err}
	}
	return &unpacker{ReadCloser: r, entry: e, limits: a.limits}, nil
}

// unreadable says why an entry cannot be unpacked whatever it holds, or nil.
// Flags and methods: APPNOTE 6.3.10, sections 4.4.4 and 4.4.5.
// (archive/zip looks at the method but not at the flags.)
func unreadable(e *zip.File) error {
	const encrypted, strong, masked = 1 << 0, 1 << 6, 1 << 13
	switch {
	case e.Flags&(encrypted|strong|masked) != 0:
		return &ReadError{Cause: "is locked with a password", Remedy: "unpack it by hand, or pack it again without a password"}
	case e.Method != zip.Store && e.Method != zip.Deflate:
		return &ReadError{Cause: "is packed by a method (number " + strconv.Itoa(int(e.Method)) + ") that is not read",
			Remedy: "pack it again as an ordinary zip"}
	case e.Mode()&fs.ModeSymlink != 0:
		return &ReadError{Cause: "is a link to another file, which is never followed", Remedy: "pack the file itself"}
	case e.Mode()&fs.ModeType != 0:
		return &ReadError{Cause: "is not a file but a device or the like", Remedy: "pack the file itself"}
	}
	return nil
}

// unpacker reads an entry under the limits.
type unpacker struct {
	io.ReadCloser
	entry  *zip.File
	read   int64
	limits Limits
}

// Read reads on. The last bytes come only when the check sum of all is right:
// a reader that wants no more than the claimed size would never ask for it.
func (u *unpacker) Read(p []byte) (int, error) {
	n, err := u.ReadCloser.Read(p)
	u.read += int64(n)
	if err == nil && uint64(u.read) == u.entry.UncompressedSize64 {
		_, err = u.ReadCloser.Read(make([]byte, 1))
	}
	l := u.limits
	if u.read > l.RatioFrom && uint64(u.read/l.Ratio) > u.entry.CompressedSize64 {
		return 0, &ReadError{Place: u.place(), Remedy: "unpack it by hand if it is a real part",
			Cause: "unpacks to more than " + thousands(l.Ratio) + " times its packed size, as no mesh does"}
	}
	if err != nil && err != io.EOF {
		return 0, u.damage(err)
	}
	return n, err
}

func (u *unpacker) place() string { return "byte " + strconv.FormatInt(u.read, 10) + " when unpacked" }

// damage says in plain words what archive/zip and flate found.
func (u *unpacker) damage(err error) error {
	r := &ReadError{Place: u.place(), Remedy: "download or pack the archive again", Err: err}
	var corrupt flate.CorruptInputError
	switch {
	case errors.Is(err, zip.ErrChecksum):
		r.Cause = "its check sum (CRC-32) is not the one in the archive: it was damaged on the way"
	case errors.Is(err, zip.ErrFormat):
		r.Cause = "holds more bytes than the archive claims"
	case ended(err):
		// No io.EOF in Err: to a caller this is not the end but damage.
		r.Cause, r.Err = "holds fewer bytes than the archive claims", nil
	case errors.As(err, &corrupt):
		r.Cause = "its packed bytes are damaged"
	default:
		return systemError(u.place(), err)
	}
	return r
}

// entry is an entry of an archive of parts that looks like a mesh.
type entry struct {
	*zip.File
	label string
	err   error
}

// members returns the entries that look like meshes, sorted by label.
func (a *archive) members() []entry {
	var entries []entry
	taken := map[string]bool{}
	for _, e := range a.File {
		name, cause := label(e.Name)
		if !meshName(name) || e.Mode().IsDir() {
			continue
		}
		m := entry{File: e, label: name, err: unreadable(e)}
		switch {
		case cause != "":
			m.err = &ReadError{Cause: cause, Remedy: "pack the parts again from inside their folder"}
		case extension(name) == ".zip":
			m.err = &ReadError{Cause: "a zip inside a zip is not opened", Remedy: "unpack the outer one"}
		case taken[name]:
			m.err = &ReadError{Cause: "another entry of the archive has the same name", Remedy: "pack the parts again under different names"}
		}
		for n := 2; taken[m.label]; n++ {
			ext := path.Ext(name)
			m.label = strings.TrimSuffix(name, ext) + " (" + strconv.Itoa(n) + ")" + ext
		}
		taken[m.label] = true
		entries = append(entries, m)
	}
	slices.SortFunc(entries, func(a, b entry) int { return strings.Compare(a.label, b.label) })
	return entries
}

// meshName reports whether a label is that of a mesh, or of a zip, which is
// told apart and refused. Left out are the resource forks that one file
// browser packs beside every file, and the folders in which this program
// lays bands and pieces.
func meshName(label string) bool {
	if !Known(label) || strings.HasPrefix(path.Base(label), "._") {
		return false
	}
	for folder := range strings.SplitSeq(path.Dir(label), "/") {
		if own, ok := strings.CutSuffix(folder, ".fit"); folder == "__MACOSX" || ok && Known(own) {
			return false
		}
	}
	return true
}

// longestLabel bounds the length of a label in bytes: the longest path that
// Linux takes is 4096 bytes, and a report's name is longer than the label.
const longestLabel = 1024

// label makes the name of a zip entry safe, and says why the entry is better
// not read, where its name is a path out of the archive. A name that is not
// UTF-8 is in code page 437, says APPNOTE 6.3.10, appendix D.
func label(raw string) (name, cause string) {
	if !utf8.ValidString(raw) {
		raw, _ = charmap.CodePage437.NewDecoder().String(raw) // maps every byte
	}
	raw = strings.ReplaceAll(raw, `\`, "/")
	if len(raw) >= 2 && raw[1] == ':' && unicode.IsLetter(rune(raw[0])) {
		raw, cause = raw[2:], "its name is a path from a drive of another machine"
	}
	if strings.HasPrefix(raw, "/") && cause == "" {
		cause = "its name is a path from the root of a disk"
	}
	var elements []string
	for element := range strings.SplitSeq(raw, "/") {
		switch element {
		case "", ".":
		case "..":
			cause = "its name leads out of the archive"
		default:
			elements = append(elements, strings.Map(harmless, element))
		}
	}
	name = strings.Join(elements, "/")
	if len(name) > longestLabel {
		ext := path.Ext(name)
		if len(ext) > 8 {
			ext = ""
		}
		name = strings.ToValidUTF8(name[:longestLabel-len(ext)], "") + ext
		cause = "its name is longer than " + thousands(longestLabel) + " bytes"
	}
	return name, cause
}

// harmless replaces what is no visible character.
func harmless(r rune) rune {
	if !unicode.IsPrint(r) {
		return '_'
	}
	return r
}
