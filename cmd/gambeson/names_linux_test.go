package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
)

// barAt writes a bar of so many mm.
func barAt(t *testing.T, path string, length float64) {
	t.Helper()
	out, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, mesh.WriteSTL(out, shape.Bar{X: length, Y: 15, Z: 10}.Mesh(), "bar"))
	require.NoError(t, out.Close())
}

// findingsAt are those of the report at hand on a part, nothing where there is
// none.
func findingsAt(part string) (f analysis.Findings) {
	_ = json.Unmarshal(contentOf(filepath.Join(part+".fit", "findings.json")), &f)
	return f
}

// Names that look the same and are not, an accented letter as one character or
// as two, capitals or none, are of as many parts: each keeps its name byte for
// byte and has a report of its own, and none is taken for the other when one
// goes. What suit.toml says of a name holds for both spellings of its accents,
// since nobody sees which of them they type.
func TestNamesThatLookTheSame(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	names := []string{"Case.stl", "case.stl", "caf\u00e9.stl", "cafe\u0301.stl"} // Unicode Standard Annex 15: NFC, NFD
	for n, name := range names {
		barAt(t, filepath.Join(suit, name), 60+10*float64(n))
	}
	require.NoError(t, os.WriteFile(filepath.Join(suit, "suit.toml"), []byte("[[part]]\nfile = \"caf\u00e9.stl\"\npercent = 150\n[[part]]\nfile = \"case.stl\"\npercent = 50\n"), 0o666))
	log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	for n, name := range names {
		until(t, "a report on "+name, func() bool { return findingsAt(filepath.Join(suit, name)).Mesh != nil })
		f := findingsAt(filepath.Join(suit, name))
		require.Equal(t, name, f.Part)
		require.InDelta(t, 60+10*float64(n), f.Mesh.Bounds[0], 0.01)
		require.Equal(t, []float64{100, 50, 150, 150}[n], f.Percent)
		until(t, "the report itself", func() bool { return len(contentOf(filepath.Join(suit, name+".md"))) > 0 }) // it comes last
	}
	var have []string
	entries, err := os.ReadDir(suit)
	require.NoError(t, err)
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".stl") {
			have = append(have, e.Name())
		}
	}
	slices.Sort(names)
	require.Equal(t, names, have, "byte for byte")
	until(t, "all in the summary", func() bool {
		return strings.Count(string(contentOf(filepath.Join(suit, "SUIT.md"))), "\n| [") == 4
	})
	for _, goes := range []string{"Case.stl", "caf\u00e9.stl"} {
		require.NoError(t, os.Remove(filepath.Join(suit, goes)))
		until(t, goes+" gone", func() bool {
			return strings.Contains(string(contentOf(filepath.Join(suit, goes+".md"))), "no longer in the folder")
		})
	}
	stop()
	for _, stays := range []string{"case.stl", "cafe\u0301.stl"} {
		text := string(contentOf(filepath.Join(suit, stays+".md")))
		require.NotEmpty(t, text)
		require.NotContains(t, text, "no longer in the folder", stays)
	}
	require.Equal(t, 2, log.count(`"event":"gone"`))
}

// A daemon that does not run for a while, as on a machine that sleeps, finds
// afterwards all that happened meanwhile.
func TestHeldForAWhile(t *testing.T) {
	own, suit := t.TempDir(), t.TempDir()
	at := func(name string) string { return filepath.Join(suit, name) }
	for n, name := range []string{"stays.stl", "changes.stl", "goes.stl", "moves.stl"} {
		barAt(t, at(name), 60+float64(n))
	}
	command, _ := daemonIn(t, own, nil, suit, "--log=json")
	reported := func(name string, length float64) func() bool {
		return func() bool {
			f := findingsAt(at(name))
			return f.Mesh != nil && f.Mesh.Bounds[0] > length-0.01 && f.Mesh.Bounds[0] < length+0.01
		}
	}
	for n, name := range []string{"stays.stl", "changes.stl", "goes.stl", "moves.stl"} {
		until(t, name, reported(name, 60+float64(n)))
	}
	until(t, "the summary", func() bool { return strings.Count(string(contentOf(at("SUIT.md"))), "\n| [") == 4 })
	before := contentOf(at("stays.stl.md"))

	require.NoError(t, command.Process.Signal(syscall.SIGSTOP))
	barAt(t, at("changes.stl"), 90)
	require.NoError(t, os.Remove(at("goes.stl")))
	require.NoError(t, os.MkdirAll(at("new/in"), 0o777))
	require.NoError(t, os.Rename(at("moves.stl"), at("new/in/moved.stl")))
	barAt(t, at("new/new.stl"), 100)
	require.NoError(t, os.Rename(at("new"), at("newer")))
	require.NoError(t, os.WriteFile(at("suit.toml"), []byte("[[part]]\nfile = \"newer/new.stl\"\npercent = 120\n"), 0o666))
	require.NoError(t, command.Process.Signal(syscall.SIGCONT))

	until(t, "the change", reported("changes.stl", 90))
	until(t, "the move", reported("newer/in/moved.stl", 63))
	until(t, "the new one", func() bool { return findingsAt(at("newer/new.stl")).Percent == 120 })
	for _, gone := range []string{"goes.stl", "moves.stl"} {
		until(t, gone, func() bool { return strings.Contains(string(contentOf(at(gone+".md"))), "no longer in the folder") })
	}
	require.NoError(t, command.Process.Signal(syscall.SIGTERM))
	require.NoError(t, command.Wait())
	require.Equal(t, string(before), string(contentOf(at("stays.stl.md"))))
}

// A daemon that is given other measures says the new verdicts of all parts before
// it looks into the first of them again.
func TestDaemonJudgesAnewAtOnce(t *testing.T) {
	ownFolders(t)
	suit := suitOf(t, 2).root
	log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	known := func(name string) bool {
		return log.has(`"event":"reported","file":"`+name) || log.has(`"event":"kept","file":"`+name)
	}
	until(t, "both looked into", func() bool { return known("greave-000.stl") && known("greave-001.stl") })
	before := log.count(`"event":"reported"`)
	require.NoError(t, os.WriteFile(filepath.Join(suit, "wearer.toml"), []byte(wornAfter), 0o666))
	until(t, "both looked into again", func() bool { return log.count(`"event":"reported"`) == before+2 })
	stop()
	_, after, said := strings.Cut(log.String(), `"event":"judged_anew","parts":2`)
	require.True(t, said, log.String())
	require.Equal(t, 2, strings.Count(after, `"event":"reported"`), "they follow")
}

// A part that is deleted and comes back, as it was or otherwise, slowly or a
// hundred times in a moment, ends as what lies there: its report is that of its
// bytes, and nothing says any more that it is gone.
func TestDeletedAndBack(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	at := func(name string) string { return filepath.Join(suit, name) }
	said := func(file, text string) func() bool {
		return func() bool { return strings.Contains(string(contentOf(at(file))), text) }
	}
	back := func() {
		t.Helper()
		until(t, "back in the report", func() bool { return !said("a.stl.md", "no longer in the folder")() })
		until(t, "back in SUIT.md", func() bool { return !said("SUIT.md", "No longer in the folder")() && said("SUIT.md", "\n| [")() })
	}
	barAt(t, at("a.stl"), 60)
	_, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	until(t, "the summary", said("SUIT.md", "a.stl"))
	for range 2 {
		require.NoError(t, os.Remove(at("a.stl")))
		until(t, "gone", said("SUIT.md", "No longer in the folder"))
		require.True(t, said("a.stl.md", "no longer in the folder")())
		barAt(t, at("a.stl"), 60)
		back()
	}
	for n := range 100 {
		require.NoError(t, os.Remove(at("a.stl")))
		barAt(t, at("a.stl"), 70+float64(n))
	}
	until(t, "the last bytes", func() bool {
		m := findingsAt(at("a.stl")).Mesh
		return m != nil && m.Bounds[0] > 168.99 && m.Bounds[0] < 169.01
	})
	back()
	stop()
	back()
}

// Names of files, whatever they hold, write nothing on the person's terminal but
// themselves: not in what the commands say, nor in the log in either form. (A log
// in JSON is for programs: it may turn the direction of reading.)
func TestNamesWriteNothingOnTheTerminal(t *testing.T) {
	own, suit := t.TempDir(), t.TempDir()
	at := func(name string) string { return filepath.Join(suit, name) }
	const good, bad, moved = "a\x1b[2Jb.stl", "c\x1b]0;gone\a\xff.stl", "d\u202egnp\r\n9.stl"
	barAt(t, at(good), 900) // with a warning
	barAt(t, at(moved), 60)
	require.NoError(t, os.WriteFile(at(bad), []byte("no mesh"), 0o666))
	require.NoError(t, os.WriteFile(at("suit.toml"), []byte("[[part]]\nfile = \"e\\u001b2J.stl\"\npercent = 100\n"), 0o666))
	program, err := exec.LookPath("gambeson")
	require.NoError(t, err)
	said := func(args ...string) string {
		command := exec.Command(program, args...)
		command.Env = append(os.Environ(), ownState(own)...)
		out, _ := command.CombinedOutput() // some end with a code
		return string(out)
	}
	all := map[string]string{"check": said("check", suit), "check of one": said("check", at(bad), at(good)), "loads": said("loads", suit), "an argument too many": said("status", suit, good)}
	for _, form := range []string{"console", "json"} {
		command, log := daemonIn(t, own, nil, suit, "--log="+form, "--level=debug")
		until(t, "ready", func() bool { return log.has("the folders are watched") })
		barAt(t, at(good), 901)
		until(t, "a report", func() bool { return log.has("report written") })
		all["status "+form] = said("status", suit)
		require.NoError(t, os.Remove(at(moved)))
		until(t, "gone", func() bool { return log.has("a part is gone") })
		barAt(t, at(moved), 60)
		require.NoError(t, command.Process.Signal(syscall.SIGTERM))
		require.NoError(t, command.Wait())
		all["log as "+form] = log.String()
	}
	require.Contains(t, all["check"], "\ufffd[2Jb.stl: ")
	for what, text := range all {
		require.NotEmpty(t, text, what)
		if !utf8.ValidString(text) {
			t.Errorf("%s is no text: %q", what, text)
		}
		for _, r := range text {
			if r != '\n' && !unicode.IsPrint(r) && !unicode.IsSpace(r) && what != "log as json" || unicode.IsControl(r) && r != '\n' {
				t.Errorf("%s holds %U: %q", what, r, text)
				break
			}
		}
	}
}
