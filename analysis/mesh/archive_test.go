package mesh

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// packed is an entry of a zip that a test builds.
type packed struct {
	name   string
	body   string
	mode   fs.FileMode // 0: a plain file
	flags  uint16      // added to the entry's own
	method uint16      // 0: deflated. Others than deflate are only claimed
	stored bool
	claim  uint64 // size to claim when unpacked, 0: the true one
}

// pack builds a zip in memory.
func pack(t testing.TB, entries ...packed) []byte {
	t.Helper()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, e := range entries {
		h := &zip.FileHeader{Name: e.name, Method: zip.Deflate, NonUTF8: true}
		if e.stored {
			h.Method = zip.Store
		}
		if e.mode != 0 {
			h.SetMode(e.mode)
		}
		if e.flags == 0 && e.method == 0 && e.claim == 0 {
			f, err := w.CreateHeader(h)
			require.NoError(t, err)
			_, err = f.Write([]byte(e.body))
			require.NoError(t, err)
			continue
		}
		h.Method, h.Flags = e.method, e.flags
		h.CRC32 = crc32.ChecksumIEEE([]byte(e.body))
		h.CompressedSize64, h.UncompressedSize64 = uint64(len(e.body)), uint64(len(e.body))
		if e.claim != 0 {
			h.UncompressedSize64 = e.claim
		}
		f, err := w.CreateRaw(h)
		require.NoError(t, err)
		_, err = f.Write([]byte(e.body))
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return out.Bytes()
}

// openBytes puts bytes into a file of the given name and opens it.
func openBytes(t testing.TB, name string, b []byte) *File {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, b, 0o600))
	f, err := Open(path)
	require.NoError(t, err)
	t.Cleanup(func() { f.Close() })
	return f
}

// refusal returns the ReadError in err, or fails the test.
func refusal(t testing.TB, err error) *ReadError {
	t.Helper()
	var r *ReadError
	if !errors.As(err, &r) {
		t.Fatalf("got error %v, want a ReadError", err)
	}
	if r.Cause == "" {
		t.Errorf("the ReadError %q names no cause", r)
	}
	return r
}

// cubeOBJ is a cube from 0 to edge, its faces facing outward.
func cubeOBJ(edge float64) string {
	return fmt.Sprintf("v 0 0 0\nv %[1]g 0 0\nv %[1]g %[1]g 0\nv 0 %[1]g 0\nv 0 0 %[1]g\nv %[1]g 0 %[1]g\nv %[1]g %[1]g %[1]g\nv 0 %[1]g %[1]g\n"+
		"f 1 4 3 2\nf 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n", edge)
}

// textSource is a file of the given text.
func textSource(name, body string) *source { return sourceOf(name, []byte(body)) }

func memberNames(members []Member) []string {
	var names []string
	for _, m := range members {
		names = append(names, m.Name)
	}
	return names
}

func TestMembersAreTheMeshes(t *testing.T) {
	f := openBytes(t, "kit.zip", pack(t,
		packed{name: "readme.txt", body: "hello"},
		packed{name: "legs/", mode: fs.ModeDir | 0o755},
		packed{name: "legs/greave.OBJ", body: cubeOBJ(10)},
		packed{name: "./arms//cuff.3mf", body: string(pack3MF(t, cubeModel("inch", 1)))},
		packed{name: "Torso.Stl", body: string(binarySTL(cube(3, r3.Vec{}), ""))},
		packed{name: "__MACOSX/legs/._greave.OBJ", body: "x"},
		packed{name: "__MACOSX/legs/b.obj", body: "x"},
		packed{name: "legs/._greave.OBJ", body: "x"},
		packed{name: "legs/greave.OBJ.fit/bands/calf.stl", body: string(binarySTL(cube(1, r3.Vec{}), ""))},
		packed{name: "good.fit/cap.obj", body: cubeOBJ(2)},
		packed{name: "legs/greave.OBJ.md", body: "# report"},
		packed{name: "picture.png", body: "png"},
	))
	if !f.Archive() {
		t.Errorf("Archive() = false for kit.zip")
	}
	members, err := f.Members(t.Context())
	require.NoError(t, err)
	require.Equal(t, []string{"Torso.Stl", "arms/cuff.3mf", "good.fit/cap.obj", "legs/greave.OBJ"}, memberNames(members))
	want := map[string]struct {
		format string
		volume float64
	}{
		"Torso.Stl":        {FormatSTLBinary, 27},
		"arms/cuff.3mf":    {Format3MF, 25.4 * 25.4 * 25.4},
		"good.fit/cap.obj": {FormatOBJ, 8},
		"legs/greave.OBJ":  {FormatOBJ, 1000},
	}
	for _, m := range members {
		require.NoError(t, m.Err, m.Name)
		loaded, err := f.LoadMember(t.Context(), m.Name, Limits{})
		require.NoError(t, err, m.Name)
		w := want[m.Name]
		if got := loaded.Mesh.Volume(); loaded.Format != w.format || math.Abs(got/w.volume-1) > 1e-6 {
			t.Errorf("%s: got %s of %g mm³, want %s of %g", m.Name, loaded.Format, got, w.format, w.volume)
		}
	}
}

func TestArchiveWithoutMeshHasNoMembers(t *testing.T) {
	for name, b := range map[string][]byte{
		"photos": pack(t, packed{name: "a.png", body: "x"}),
		"empty":  pack(t),
	} {
		members, err := openBytes(t, "a.zip", b).Members(t.Context())
		require.NoError(t, err, name)
		require.Empty(t, members, name)
	}
}

// Names are labels: whatever they are, they come out as relative paths
// without a step upwards, and those that were paths elsewhere are not read.
func TestMemberNamesAreLabels(t *testing.T) {
	cube := cubeOBJ(1)
	tests := []struct{ raw, label, cause string }{
		{`legs\greave.obj`, "legs/greave.obj", ""},
		{"../../etc/a.obj", "etc/a.obj", "leads out"},
		{"legs/../../a.obj", "legs/a.obj", "leads out"},
		{`..\a.obj`, "a.obj", "leads out"},
		{"/etc/a.obj", "etc/a.obj", "root of a disk"},
		{`C:\Users\mira\a.obj`, "Users/mira/a.obj", "drive"},
		{"c:a.obj", "a.obj", "drive"},
		{"a\x1b[2J.obj", "a_[2J.obj", ""},
		{"a\nb.obj", "a_b.obj", ""},
		{"a\u202ejbo.obj", "a_jbo.obj", ""}, // right-to-left override
		{"Beinröhre.obj", "Beinröhre.obj", ""},
		{"Beinr\x94hre.obj", "Beinröhre.obj", ""}, // code page 437: 0x94 is ö (APPNOTE appendix D)
		{"甲.obj", "甲.obj", ""},
		{strings.Repeat("a", 2000) + ".obj", strings.Repeat("a", 1020) + ".obj", "longer than"},
		{".obj", ".obj", ""},
	}
	for _, test := range tests {
		f := openBytes(t, "kit.zip", pack(t, packed{name: test.raw, body: cube}))
		members, err := f.Members(t.Context())
		require.NoError(t, err, test.raw)
		require.Equal(t, []string{test.label}, memberNames(members), "%q", test.raw)
		_, err = f.LoadMember(t.Context(), test.label, Limits{})
		if test.cause == "" {
			require.NoError(t, members[0].Err, test.raw)
			require.NoError(t, err, test.raw)
			continue
		}
		for _, err := range []error{members[0].Err, err} {
			r := refusal(t, err)
			if !strings.Contains(r.Cause, test.cause) || r.Member != test.label || r.Path == "" {
				t.Errorf("%q: got %v, want cause %q of member %q", test.raw, r, test.cause, test.label)
			}
		}
		if _, err := f.LoadMember(t.Context(), test.raw, Limits{}); err == nil {
			t.Errorf("%q: LoadMember took the raw name", test.raw)
		}
	}
}

func TestMembersOfOneNameAreToldApart(t *testing.T) {
	f := openBytes(t, "kit.zip", pack(t,
		packed{name: "a.obj", body: cubeOBJ(1)},
		packed{name: "a.obj", body: cubeOBJ(2)},
		packed{name: "./a.obj", body: cubeOBJ(3)},
		packed{name: "a (2).obj", body: cubeOBJ(4)},
	))
	members, err := f.Members(t.Context())
	require.NoError(t, err)
	require.Equal(t, []string{"a (2) (2).obj", "a (2).obj", "a (3).obj", "a.obj"}, memberNames(members))
	loaded, err := f.LoadMember(t.Context(), "a.obj", Limits{})
	require.NoError(t, err)
	if got := loaded.Mesh.Volume(); got != 1 {
		t.Errorf("a.obj has volume %g, want that of the first entry, 1", got)
	}
	for _, name := range []string{"a (2).obj", "a (3).obj"} {
		_, err := f.LoadMember(t.Context(), name, Limits{})
		if r := refusal(t, err); !strings.Contains(r.Cause, "same name") {
			t.Errorf("%s: got cause %q", name, r.Cause)
		}
	}
}

func TestMembersThatCannotBeRead(t *testing.T) {
	cube := cubeOBJ(1)
	tests := []struct {
		entry packed
		cause string
		late  bool // seen only when it is unpacked
	}{
		{entry: packed{name: "a.obj", body: cube, flags: 1}, cause: "password"},
		{entry: packed{name: "a.obj", body: cube, flags: 1<<6 | 1}, cause: "password"},
		{entry: packed{name: "a.obj", body: cube, flags: 1 << 13}, cause: "password"},
		{entry: packed{name: "a.obj", body: cube, method: 12}, cause: "method (number 12)"}, // bzip2
		{entry: packed{name: "a.obj", body: cube, method: 14}, cause: "method (number 14)"}, // LZMA
		{entry: packed{name: "a.obj", body: "/etc/passwd", mode: fs.ModeSymlink | 0o777}, cause: "link"},
		{entry: packed{name: "a.obj", mode: fs.ModeNamedPipe | 0o600}, cause: "device"},
		{entry: packed{name: "inner.zip", body: string(pack(t))}, cause: "a zip inside a zip is not opened"},
		{entry: packed{name: "a.obj", body: cube, method: zip.Deflate}, cause: "packed bytes are damaged", late: true},
		{entry: packed{name: "a.obj", body: cube, claim: 1}, cause: "more bytes than the archive claims", late: true},
		{entry: packed{name: "a.obj", body: cube, claim: 1 << 20}, cause: "fewer bytes than the archive claims", late: true},
		{entry: packed{name: "a.stl", body: "hello", claim: 105}, cause: "fewer bytes than the archive claims", late: true}, // found by fuzzing
		{entry: packed{name: "a.obj", body: cube, claim: 1 << 40}, cause: "unpacks to more than 2048 MiB"},
		{entry: packed{name: "a.obj", body: "hello"}, cause: "neither vertices nor faces", late: true},
		{entry: packed{name: "a.obj"}, cause: "empty", late: true},
	}
	for _, test := range tests {
		f := openBytes(t, "kit.zip", pack(t, test.entry, packed{name: "good.obj", body: cube}))
		members, err := f.Members(t.Context())
		require.NoError(t, err, test.cause)
		i := slices.IndexFunc(members, func(m Member) bool { return m.Name == test.entry.name })
		require.True(t, i >= 0, test.cause)
		_, err = f.LoadMember(t.Context(), test.entry.name, Limits{})
		if r := refusal(t, err); !strings.Contains(r.Cause, test.cause) || r.Member != test.entry.name {
			t.Errorf("LoadMember: got %v, want cause %q", r, test.cause)
		}
		if test.late != (members[i].Err == nil) {
			t.Errorf("%s: Members says %v", test.cause, members[i].Err)
		}
		_, err = f.LoadMember(t.Context(), "good.obj", Limits{})
		require.NoError(t, err, "the good member beside it")
	}
}

// One flipped bit in the packed bytes: the check sum must be looked at even
// by a reader that wants exactly the claimed number of bytes.
func TestMemberWithWrongCheckSum(t *testing.T) {
	for _, name := range []string{"a.obj", "a.stl"} {
		body := map[string]string{"a.obj": cubeOBJ(1), "a.stl": string(binarySTL(cube(1, r3.Vec{}), ""))}[name]
		b := pack(t, packed{name: name, body: body, stored: true})
		at := bytes.Index(b, []byte(body)) + len(body) - 1
		b[at] ^= 1 // the last line end, the last attribute byte
		_, err := openBytes(t, "kit.zip", b).LoadMember(t.Context(), name, Limits{})
		if r := refusal(t, err); !strings.Contains(r.Cause, "check sum") {
			t.Errorf("%s: got %v", name, r)
		}
	}
}

func TestArchivesThatAreNone(t *testing.T) {
	whole := pack(t, packed{name: "a.obj", body: cubeOBJ(1)})
	damaged := slices.Clone(whole)
	damaged[bytes.Index(damaged, []byte("PK\x01\x02"))] = 'X'
	tests := []struct {
		name       string
		b          []byte
		cause      string
		unfinished bool
	}{
		{"cut", whole[:len(whole)/2], "cut short", true},
		{"cut in its last record", whole[:len(whole)-3], "", false}, // archive/zip reads on or refuses
		{"web page", []byte("<html>sign in</html>"), "not a zip archive", false},
		{"empty", nil, "is empty", true},
		{"damaged", damaged, "table of contents of the zip archive is damaged", false},
		{"zeros", make([]byte, 100), "not a zip archive", false},
	}
	for _, test := range tests {
		_, err := openBytes(t, "a.zip", test.b).Members(t.Context())
		if err == nil && test.cause == "" {
			continue
		}
		r := refusal(t, err)
		if !strings.Contains(r.Cause, test.cause) || r.Unfinished != test.unfinished && test.cause != "" {
			t.Errorf("%s: got %v (unfinished %v), want cause %q", test.name, r, r.Unfinished, test.cause)
		}
	}
}

func TestArchiveWithTooManyEntries(t *testing.T) {
	var entries []packed
	for i := range 21 {
		entries = append(entries, packed{name: fmt.Sprintf("%d.obj", i)})
	}
	limits := Limits{Members: 20}.orDefault()
	b := pack(t, entries...)
	_, err := openArchive(bytes.NewReader(b), int64(len(b)), limits)
	if r := refusal(t, err); !strings.Contains(r.Cause, "21 entries, more than the 20") {
		t.Errorf("got %v", r)
	}
	b = pack(t, entries[:20]...)
	a, err := openArchive(bytes.NewReader(b), int64(len(b)), limits)
	require.NoError(t, err)
	require.Len(t, a.members(), 20)
}

// A table of contents of 400 000 entries is refused before it is in memory.
func TestArchiveWithEndlessDirectory(t *testing.T) {
	const n = 400_000
	record := make([]byte, 46)
	copy(record, "PK\x01\x02")
	b := bytes.Repeat(record, n)
	size := uint32(len(b))
	b = append(b, "PK\x05\x06\x00\x00\x00\x00"...)
	b = binary.LittleEndian.AppendUint16(b, n%65536)
	b = binary.LittleEndian.AppendUint16(b, n%65536)
	b = binary.LittleEndian.AppendUint32(b, size)
	b = append(b, make([]byte, 6)...)
	copy(b, "PK\x01\x02")
	_, err := openArchive(bytes.NewReader(b), int64(len(b)), DefaultLimits())
	if r := refusal(t, err); !strings.Contains(r.Cause, "more than 2000 entries") {
		t.Errorf("got %v", r)
	}
}

// Entries that share one stream are how 10 MB unpack to 281 TB (D. Fifield,
// "A better zip bomb", WOOT 2019).
func TestArchiveWhoseEntriesOverlap(t *testing.T) {
	b := pack(t, packed{name: "a.obj", body: cubeOBJ(1)}, packed{name: "b.obj", body: cubeOBJ(2)})
	directory := bytes.Index(b, []byte("PK\x01\x02"))
	second := directory + 4 + bytes.Index(b[directory+4:], []byte("PK\x01\x02"))
	copy(b[second+42:second+46], b[directory+42:directory+46]) // offset of the local header
	_, err := openBytes(t, "a.zip", b).Members(t.Context())
	if r := refusal(t, err); !strings.Contains(r.Cause, "share the same bytes") {
		t.Errorf("got %v", r)
	}
}

// 2 MB of blanks deflate to 2 kB: a thousand to one.
func TestMemberThatSwells(t *testing.T) {
	body := cubeOBJ(1) + strings.Repeat(strings.Repeat(" ", 500_000)+"\n", 4)
	f := openBytes(t, "a.zip", pack(t, packed{name: "a.obj", body: body}, packed{name: "a.3mf", body: body}))
	for _, name := range []string{"a.obj", "a.3mf"} {
		_, err := f.LoadMember(t.Context(), name, Limits{RatioFrom: 1 << 20})
		if r := refusal(t, err); !strings.Contains(r.Cause, "more than 200 times its packed size") {
			t.Errorf("%s: got %v", name, r)
		}
	}
	loaded, err := f.LoadMember(t.Context(), "a.obj", Limits{}) // it is looked at from 10 MiB on
	require.NoError(t, err)
	if got := loaded.Mesh.Volume(); got != 1 {
		t.Errorf("within the limits: got volume %g, want 1", got)
	}
}

func TestMembersTogetherTooLarge(t *testing.T) {
	var entries []packed
	for i := range 5 {
		entries = append(entries, packed{name: fmt.Sprintf("%d.obj", i), body: "x", claim: 500 << 20})
	}
	members, err := openBytes(t, "a.zip", pack(t, entries...)).Members(t.Context())
	require.NoError(t, err)
	for i, m := range members {
		if refused := m.Err != nil; refused != (i == 4) {
			t.Errorf("member %d of 500 MiB each: refused is %v", i, refused)
		}
	}
}

func TestLoadMemberStopsWhenCancelled(t *testing.T) {
	f := openBytes(t, "a.zip", pack(t, packed{name: "a.obj", body: strings.Repeat("v 0 0 0\n", 100_000) + cubeOBJ(1)}))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := f.LoadMember(ctx, "a.obj", Limits{})
	require.ErrorIs(t, err, context.Canceled)
	_, err = f.Members(ctx)
	require.ErrorIs(t, err, context.Canceled)
}

func TestLoadMemberOfNoSuchName(t *testing.T) {
	f := openBytes(t, "a.zip", pack(t, packed{name: "a.obj", body: cubeOBJ(1)}))
	_, err := f.LoadMember(t.Context(), "b.obj", Limits{})
	if r := refusal(t, err); r.Member != "b.obj" {
		t.Errorf("got %v", r)
	}
}

func FuzzArchive(f *testing.F) {
	f.Add(pack(f, packed{name: "a.obj", body: cubeOBJ(1)}, packed{name: "../b.stl", body: "solid"}))
	f.Add(pack(f, packed{name: "c.3mf", body: string(pack3MF(f, cubeModel("foot", 1))), stored: true}))
	f.Add(pack(f, packed{name: "d.obj", body: cubeOBJ(1), flags: 1}, packed{name: "e.zip", body: "PK"}))
	f.Add([]byte("PK\x05\x06"))
	limits := Limits{Triangles: 100_000, Unpacked: 8 << 20, RatioFrom: 1 << 20}
	f.Fuzz(func(t *testing.T, b []byte) {
		a, err := openArchive(bytes.NewReader(b), int64(len(b)), limits.orDefault())
		if err == nil {
			err = a.overlaps(t.Context())
		}
		if err != nil {
			refusal(t, err)
			return
		}
		seen := map[string]bool{}
		for _, e := range a.members() {
			if seen[e.label] || !fs.ValidPath(e.label) {
				t.Errorf("label %q is there twice, or no relative path", e.label)
			}
			seen[e.label] = true
			if e.err != nil {
				refusal(t, e.err)
				continue
			}
			s := &source{name: e.label, size: int64(min(e.UncompressedSize64, 1<<62)), front: func() (io.ReadCloser, error) { return a.unpack(e.File) }}
			loaded, err := loadSource(t.Context(), s, a.limits)
			if err != nil {
				refusal(t, err)
				continue
			}
			soundMesh(t, loaded.Mesh, a.limits)
		}
	})
}
