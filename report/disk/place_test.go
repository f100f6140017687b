package disk

import (
	"path"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPlacesNameOurFiles(t *testing.T) {
	for _, c := range []struct{ part, member, name, report, band string }{
		{"legs/greave-left.stl", "", "legs/greave-left.stl", "legs/greave-left.stl.md", "legs/greave-left.stl.fit/bands/1.stl"},
		{"HELM.STL", "", "HELM.STL", "HELM.STL.md", "HELM.STL.fit/bands/1.stl"},
		{"kit.zip", "", "kit.zip", "kit.zip.md", "kit.zip.fit/bands/1.stl"},
		{"kit.zip", "legs/a.stl", "kit.zip/legs/a.stl", "kit.zip.fit/legs/a.stl.md", "kit.zip.fit/legs/a.stl.fit/bands/1.stl"},
		{"sub/k.zip", "a b.obj", "sub/k.zip/a b.obj", "sub/k.zip.fit/a b.obj.md", "sub/k.zip.fit/a b.obj.fit/bands/1.stl"},
	} {
		p := Place{Root: "/suit", Part: c.part, Member: c.member}
		if p.Name() != c.name || p.Report() != c.report || p.Under("bands/1.stl") != c.band {
			t.Errorf("%+v: got %q, %q, %q", c, p.Name(), p.Report(), p.Under("bands/1.stl"))
		}
	}
}

func TestOursTellsOurFilesFromThePersons(t *testing.T) {
	for _, file := range []string{
		"legs/greave.stl.md", "greave.3mf.html", "a.OBJ.MD", "kit.zip.md", "SUIT.md", "sub/SUIT.html", "suit.MD",
		"greave.stl.fit", "greave.stl.fit/bands/1.stl", "/home/mira/suit/GREAVE.STL.FIT/findings.json",
		"x.3mf.fit/girth.png", "x.obj.fit/a/b/c.toml", "kit.zip.fit/legs/a.stl.fit/bands/1.stl",
		"legs/.gambeson-ABCDEFGHIJKLMNOPQRSTUVWXYZ.tmp", "SUIT.kept-1a2b3c4d.md", "SUIT.kept-1a2b3c4d.html",
		"SUIT.html", "SUIT.fit/details.md", "SUIT.fit/details.html", "kit.zip.html", "kit.zip.fit/legs/a.stl.html",
	} {
		if !Ours(file) {
			t.Errorf("%q is written by us but is not ours", file)
		}
	}
	for _, file := range []string{
		"legs/greave.stl", "kit.zip", "suit.toml", "wearer.toml", "logbook.toml", "legs/my notes.md", "README.md",
		"greave.md", "greave.stl.md.stl", "greave.stl.fit.stl", "outfit/greave.stl", "my.fit/greave.stl",
		"benefit/a.stl", ".fit/a.stl", ".gambeson-a.stl", "SUIT.md.stl", "SUIT.toml", "suit.stl", "",
		"x.png.fit/a.stl",
	} {
		if Ours(file) {
			t.Errorf("%q is the person's but is taken for ours", file)
		}
	}
}

func TestMembersStayInTheirFolder(t *testing.T) {
	for _, member := range []string{
		"../../etc/passwd.stl", "/abs.stl", `..\..\w.stl`, `C:\w.stl`, "a/../../b.stl", "./a.stl", "//a.stl",
		".", "..", "/", "nul.stl", "COM1.obj", "a.stl.md/b.stl", "x.stl.fit/b.stl", "findings.json/b.stl",
		"a\x00b.stl", "a\nb.stl", "\xff\xfe.stl", "trail. /a.stl", "a:b|c?.stl", ".hidden/.b.stl",
		"\u202egnp.stl", strings.Repeat("d/", 400) + "deep.stl", strings.Repeat("n", 300) + ".stl",
		strings.Repeat("ü", 200) + ".stl", strings.Repeat("long", 100) + "/a.stl",
	} {
		p := Place{Root: "/suit", Part: "kit.zip", Member: member}
		checkMember(t, p)
	}
}

// checkMember checks what no member, whatever its name, may break.
func checkMember(t *testing.T, p Place) {
	t.Helper()
	for _, file := range []string{p.Report(), p.Under("findings.json")} {
		if !filepath.IsLocal(file) || !strings.HasPrefix(file, "kit.zip.fit/") || path.Clean(file) != file {
			t.Errorf("member %q is written to %q", p.Member, file)
		}
		if len(file) > 2048 {
			t.Errorf("member %q: path of %d bytes", p.Member, len(file))
		}
		for _, name := range strings.Split(file, "/") {
			if len(name) > 255 || strings.HasPrefix(name, ".") || strings.ContainsAny(name, "\x00\n\\:<>\"|?*") || harmless(strings.TrimSuffix(name, reportEnd)) == "" {
				t.Errorf("member %q: name %q in %q", p.Member, name, file)
			}
		}
	}
	for _, folder := range strings.Split(path.Dir(p.Report()), "/")[1:] {
		if Ours(folder) {
			t.Errorf("member %q takes the name %q of ours", p.Member, folder)
		}
	}
}

func TestMembersKeepApart(t *testing.T) {
	seen := map[string]string{}
	for _, member := range []string{
		"a.stl", "./a.stl", "/a.stl", "../a.stl", "b/../a.stl", `\a.stl`, "b/a.stl", `b\a.stl`, "b//a.stl",
		"a:.stl", "a?.stl", "a*.stl", "a_.stl", "a\x01.stl", "\xffa.stl", "\xfea.stl", "_a.stl",
		"d.stl.md/a.stl", "d.stl.md_/a.stl", strings.Repeat("n", 300) + "1.stl", strings.Repeat("n", 300) + "2.stl",
		strings.Repeat("d/", 400) + "deep.stl", strings.Repeat("e/", 400) + "deep.stl",
	} {
		at := Place{Part: "kit.zip", Member: member}.Report()
		if other, ok := seen[at]; ok {
			t.Errorf("%q and %q are both written to %q", member, other, at)
		}
		seen[at] = member
	}
}

func TestLongNamesLeaveRoomForOurEnds(t *testing.T) {
	for _, n := range []int{1, 200, 246, 247, 251} {
		p := Place{Root: "/suit", Part: "legs/" + strings.Repeat("n", n) + ".stl"}
		for _, name := range []string{path.Base(p.Report()), path.Base(p.Under(""))} {
			if len(name) > 255 || !Ours(name) {
				t.Errorf("name of %d bytes: %d bytes %q, ours %v", n+4, len(name), name, Ours(name))
			}
		}
	}
	a := Place{Part: strings.Repeat("n", 250) + "1.stl"}.Report()
	b := Place{Part: strings.Repeat("n", 250) + "2.stl"}.Report()
	if a == b {
		t.Errorf("two long names share the report %q", a)
	}
}

func FuzzMember(f *testing.F) {
	f.Add("legs/a.stl")
	f.Add("../../a.stl")
	f.Add("a\x00/\xff.stl")
	f.Add("a." + strings.Repeat("\v", 300))
	f.Fuzz(func(t *testing.T, member string) {
		if member == "" {
			return // no member: the archive itself
		}
		checkMember(t, Place{Root: "/suit", Part: "kit.zip", Member: member})
	})
}

func TestCutFrom(t *testing.T) {
	for file, want := range map[string]string{
		"legs/greave.stl.fit/bands/072mm-at-109-percent.stl": "legs/greave.stl",
		"kit.zip.fit/legs/boot.stl.fit/bands/010mm.stl":      "kit.zip/legs/boot.stl",
		"helm.3mf.fit/panel/rest.stl":                        "helm.3mf",
		"legs/greave.stl":                                    "",
		"legs.fitting/greave.stl":                            "",
	} {
		part, ok := CutFrom(file)
		require.Equal(t, want, part, file)
		require.Equal(t, want != "", ok, file)
	}
	// What is named after a part is cut from it.
	for _, p := range []Place{{Part: "legs/a b.stl"}, {Part: "kit.zip", Member: "legs/a.stl"}} {
		part, ok := CutFrom(p.Under("bands/010mm.stl"))
		require.True(t, ok)
		require.Equal(t, p.Name(), part)
	}
}

// Every name that we give is known for ours, and the page of every report is where its
// links lead.
func TestOurNamesGoTogether(t *testing.T) {
	for _, p := range []Place{{Part: "legs/a b.stl"}, {Part: "kit.zip"}, {Part: "kit.zip", Member: "legs/<b>.stl"}, {Part: strings.Repeat("n", 250) + ".3mf"}} {
		for _, name := range []string{p.Report(), p.Page(), p.Under("x.png"), p.KeptName("12ab"), PageOf(p.KeptName("12ab"))} {
			require.True(t, Ours(name), name)
		}
		require.Equal(t, p.Page(), TwinOf(p.Report(), p.Report()))
		require.Equal(t, p.Page()+"#scale", TwinOf(p.Report()+"#scale", p.Report()+"#scale"))
		require.Equal(t, Place{Part: p.Part}, p.Archive())
	}
	for _, name := range []string{SuitName, DetailsReport, KeptSuit("12ab"), KeptDetails("12ab"), PageOf(KeptSuit("12ab"))} {
		require.True(t, Ours(name), name)
	}
	require.Equal(t, PageOf(DetailsReport), TwinOf(DetailsReport, DetailsReport))
	for _, to := range []string{"plan.md", "a.stl", KeptSuit("12ab"), "", "#scale"} {
		require.Equal(t, to, TwinOf(to, to))
	}
	// The link is escaped, the name of the part is not.
	require.Equal(t, "a%20b.stl.html", TwinOf("a%20b.stl.md", "a b.stl.md"))
}
