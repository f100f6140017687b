package report

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/sample"
	"gambeson/report/suit"

	"github.com/stretchr/testify/require"
)

// old makes every file look as if it had been written long ago.
func old(t *testing.T, root string) time.Time {
	t.Helper()
	long := time.Date(2020, 2, 2, 2, 2, 2, 0, time.UTC)
	for name := range sample.Files(t, root) {
		require.NoError(t, os.Chtimes(filepath.Join(root, filepath.FromSlash(name)), long, long))
	}
	return long
}

func TestEqualContentIsNotWritten(t *testing.T) {
	d := greave()
	d.Outlines = nil // one picture is enough
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	require.NoError(t, Write(p, d))
	require.NoError(t, suit.Write(p.Root, suit.Suit{Rows: suitRows(p.Root)}))
	long := old(t, p.Root)
	require.NoError(t, Write(p, d))
	require.NoError(t, suit.Write(p.Root, suit.Suit{Rows: suitRows(p.Root)}))
	for name := range sample.Files(t, p.Root) {
		info, err := os.Stat(filepath.Join(p.Root, name))
		require.NoError(t, err)
		if !info.ModTime().Equal(long) {
			t.Errorf("%s was written though nothing changed", name)
		}
	}
	d.Findings.Percent = 108
	require.NoError(t, Write(p, d))
	for name, want := range map[string]bool{p.Report(): true, p.Under(disk.FindingsName): true, p.Under("bands/000mm.stl"): false} {
		info, err := os.Stat(filepath.Join(p.Root, name))
		require.NoError(t, err)
		if changed := !info.ModTime().Equal(long); changed != want {
			t.Errorf("%s written: %v, want %v", name, changed, want)
		}
	}
}

// Whatever Write makes, Ours knows; whatever lay there before is as it was.
func TestWriteMakesOursAndTouchesNothingElse(t *testing.T) {
	root := sample.Folder(t)
	theirs := []string{"legs/greave-left.stl", "suit.toml", "wearer.toml", "legs/notes.md", ".gambeson-mine.tmp"}
	for _, name := range theirs {
		sample.WriteFile(t, root, name, "theirs "+name)
	}
	before := sample.Files(t, root)
	for _, d := range []Document{greave(), plate()} {
		require.NoError(t, Write(disk.Place{Root: root, Part: d.Findings.Part}, d))
	}
	require.NoError(t, Write(disk.Place{Root: root, Part: "kit.zip", Member: "../legs/a.stl"}, plate()))
	require.NoError(t, suit.WriteList(disk.Place{Root: root, Part: "kit.zip"}, "1", nil))
	require.NoError(t, suit.Write(root, suit.Suit{}))
	made := 0
	for name, text := range sample.Files(t, root) {
		if was, ok := before[name]; ok {
			if was != text {
				t.Errorf("%s was changed", name)
			}
			continue
		}
		made++
		if !disk.Ours(strings.TrimSuffix(name, "/")) {
			t.Errorf("%s is made by us but is not ours", name)
		}
	}
	if made < 15 {
		t.Errorf("only %d files made", made)
	}
	for name := range before {
		if !strings.HasSuffix(name, "/") && sample.ReadFile(t, root, name) != before[name] {
			t.Errorf("%s is gone", name)
		}
	}
}

// What earlier runs left is cleared away, what the person put into the folder
// is not.
func TestOldBandsAreRemovedOnceTheReportIsWritten(t *testing.T) {
	d := greave()
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	d.Outlines = append(d.Outlines, sample.Ring(265, 66, 58, 5))
	require.NoError(t, Write(p, d))
	for _, name := range []string{"bands/my own.stl", "photo.png", "notes.txt"} {
		sample.WriteFile(t, p.Root, p.Under(name), "theirs")
	}
	d.Bands, d.Findings.Bands, d.Outlines, d.Fingerprint = d.Bands[1:], d.Findings.Bands[1:], d.Outlines[:1], "next"
	require.NoError(t, Write(p, d))
	for name, want := range map[string]bool{
		"bands/000mm.stl": false, "bands/265mm.stl": true, "bands/my own.stl": true, "photo.png": true, "notes.txt": true,
		"girth.png": true, "section.png": true, "section-2.png": false,
	} {
		_, err := os.Stat(filepath.Join(p.Root, p.Under(name)))
		if got := err == nil; got != want {
			t.Errorf("%s is there: %v, want %v", name, got, want)
		}
	}
	// A file that cannot be read leaves the last bands, and says so.
	require.NoError(t, Write(p, Document{Refusal: &answer.Refusal{Cause: "the file is empty"}}))
	if _, err := os.Stat(filepath.Join(p.Root, p.Under("bands/265mm.stl"))); err != nil {
		t.Error(err)
	}
	if got := sample.ReadFile(t, p.Root, p.Report()); !strings.Contains(got, "earlier version of the file") {
		t.Errorf("the refusal does not speak of the bands that are left:\n%s", got)
	}
}

// In the way of a report, links, pipes and folders are left alone, and the
// error names the file once.
func TestWhatStandsInTheWayIsLeftAlone(t *testing.T) {
	d := greave()
	d.Findings.Cavities, d.Outlines = nil, nil // pictures take time
	outside := t.TempDir()
	sample.WriteFile(t, outside, "target", "theirs")
	report := filepath.FromSlash(disk.Place{Part: d.Findings.Part}.Report())
	fit := filepath.FromSlash(disk.Place{Part: d.Findings.Part}.Under(""))
	for name, block := range map[string]func(root string) error{
		"folder at the report": func(root string) error { return os.Mkdir(filepath.Join(root, report), 0o755) },
		"link at the report": func(root string) error {
			return os.Symlink(filepath.Join(outside, "target"), filepath.Join(root, report))
		},
		"file at the folder": func(root string) error { return os.WriteFile(filepath.Join(root, fit), nil, 0o644) },
		"link out at the folder": func(root string) error {
			return os.Symlink(outside, filepath.Join(root, fit))
		},
		"link within at the folder": func(root string) error { return os.Symlink("../torso", filepath.Join(root, fit)) },
		"part's folder is gone":     func(root string) error { return os.Remove(filepath.Join(root, "legs")) },
	} {
		t.Run(name, func(t *testing.T) {
			root := sample.Folder(t)
			require.NoError(t, block(root))
			before := sample.Files(t, root)
			err := Write(disk.Place{Root: root, Part: d.Findings.Part}, d)
			if err == nil {
				t.Fatal("no error")
			}
			if n := strings.Count(err.Error(), "greave-left.stl."); n != 1 {
				t.Errorf("the file is named %d times: %v", n, err)
			}
			after := sample.Files(t, root)
			for name := range before {
				if _, ok := after[name]; !ok {
					t.Errorf("%s is gone", name)
				}
			}
			if _, ok := after["legs/"]; ok != (name != "part's folder is gone") {
				t.Errorf("a folder that the person removed was made again")
			}
			for name := range after {
				if strings.HasSuffix(name, ".tmp") {
					t.Errorf("%s is left behind", name)
				}
			}
			require.Equal(t, map[string]string{"target": "theirs"}, sample.Files(t, outside))
		})
	}
}

func TestReplacingKeepsPermissions(t *testing.T) {
	d := plate()
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	require.NoError(t, Write(p, d))
	report := filepath.Join(p.Root, p.Report())
	require.NoError(t, os.Chmod(report, 0o640))
	d.Findings.Percent = 99
	require.NoError(t, Write(p, d))
	info, err := os.Stat(report)
	require.NoError(t, err)
	if info.Mode().Perm() != 0o640 {
		t.Errorf("mode is now %v", info.Mode())
	}
}

// Tests that kill or starve a run start themselves again as a child, which
// does what its environment says.
func TestMain(m *testing.M) {
	var err error
	switch {
	case os.Getenv("GAMBESON_WRITE_FOR_EVER") != "":
		err = writeForEver(os.Getenv("GAMBESON_WRITE_FOR_EVER"))
	case os.Getenv("GAMBESON_FULL_DISK") != "":
		err = writeOnAFullDisk(os.Getenv("GAMBESON_FULL_DISK"))
	default:
		os.Exit(m.Run())
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// writeForEver writes two versions in turn, and a dot for each, until it is
// killed.
func writeForEver(root string) error {
	for n := 0; ; n++ {
		if err := Write(version(root, n%2)); err != nil {
			return err
		}
		os.Stdout.WriteString(".")
	}
}

func version(root string, n int) (disk.Place, Document) {
	d := plate()
	d.Findings.Percent = float64(100 + n)
	d.Fingerprint = fmt.Sprint("version", n)
	d.Bands = []Solid{{File: "bands/1.stl", Mesh: sample.Wedge(float64(n))}}
	return disk.Place{Root: root, Part: d.Findings.Part}, d
}

func TestAKilledRunLeavesOldOrNew(t *testing.T) {
	want := map[string]bool{}
	for n := range 2 {
		p, d := version(sample.Folder(t), n)
		require.NoError(t, Write(p, d))
		want[sample.ReadFile(t, p.Root, p.Report())] = true
	}
	root := sample.Folder(t)
	p, _ := version(root, 0)
	for round := range 12 {
		child := exec.Command(os.Args[0])
		child.Env = append(os.Environ(), "GAMBESON_WRITE_FOR_EVER="+root)
		out, err := child.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, child.Start())
		dots := bufio.NewReader(out)
		for range 1 + round%5 {
			if _, err := dots.ReadByte(); err != nil {
				t.Fatal(err)
			}
		}
		require.NoError(t, child.Process.Kill())
		_ = child.Wait() // killed, as was wanted
		if got := sample.ReadFile(t, root, p.Report()); !want[got] {
			t.Fatalf("round %d: the report is neither version:\n%s", round, got)
		}
		if f := paper.Previous(p); f == nil {
			t.Errorf("round %d: the findings are torn", round)
		}
	}
	require.NoError(t, disk.Sweep(root))
	for name := range sample.Files(t, root) {
		if strings.HasSuffix(name, ".tmp") {
			t.Errorf("%s is left after the sweep", name)
		}
	}
}
