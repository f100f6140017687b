//go:build unix

package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"gambeson/cmd/gambeson/store"

	"github.com/stretchr/testify/require"
)

var (
	kills  = flag.Int("kills", usualKills, "how often a daemon at work is killed")
	writes = flag.Int("writes", 0, "at how many of its system calls that write a daemon is killed, each in turn (wants strace)")
)

// A daemon at work is killed again and again, at random moments, while the
// person goes on saving parts and measures. What it had begun is then either as
// it was or as it is to be; a last start leaves nothing half-written, no part
// without its report, and every file of the person as they wrote it.
func TestKilledAtAnyMoment(t *testing.T) {
	const seed = 7
	random := rand.New(rand.NewPCG(seed, seed))
	own, suit := t.TempDir(), busySuit(t)
	for range *kills {
		saveSome(t, suit, random)
		command, _ := daemonIn(t, own, nil, suit, "--log=json")
		time.Sleep(time.Duration(random.IntN(1200)) * time.Millisecond) // the moment is what is tried
		require.NoError(t, command.Process.Kill())
		_ = command.Wait() // killed
		nothingTorn(t, suit)
	}
	settled(t, own, suit)
}

// The same at every system call that writes, each in turn.
func TestKilledAtEveryWrite(t *testing.T) {
	if *writes == 0 {
		t.Skip("asked for with -writes")
	}
	tracer, err := exec.LookPath("strace")
	if err != nil {
		t.Skip("no strace here")
	}
	program, err := exec.LookPath("gambeson")
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(11, 11))
	own, suit := t.TempDir(), busySuit(t)
	reached := 0
	for n := 1; n <= *writes; n++ {
		saveSome(t, suit, random)
		const calls = "write,fsync,renameat,mkdirat,unlinkat,fchmod"
		command := exec.Command(tracer, "-f", "-qq", "-o", "/dev/null", "-e", "trace="+calls,
			"-e", fmt.Sprintf("inject=%s:signal=KILL:when=%d", calls, n), program, "check", suit)
		command.Env = append(os.Environ(), ownState(own)...)
		if err := command.Run(); err != nil && strings.Contains(err.Error(), "killed") {
			reached++
		}
		nothingTorn(t, suit)
	}
	t.Logf("killed %d of %d times", reached, *writes)
	settled(t, own, suit)
}

// busySuit is a folder with parts enough for a daemon to be at work for a
// while: whole ones, an archive, a broken one.
func busySuit(t *testing.T) string {
	suit := t.TempDir()
	for i := range 6 {
		tube(t, filepath.Join(suit, "legs", fmt.Sprintf("part-%d.stl", i)), 16+i)
	}
	require.NoError(t, os.WriteFile(filepath.Join(suit, "broken.stl"), []byte("no mesh"), 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(suit, "suit.toml"), []byte("[shell]\npadding = 5\n"), 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(suit, "wearer.toml"), []byte("calf_girth = 260\n"), 0o666))
	return suit
}

// saveSome changes some parts and a measure, so that there is something to do.
func saveSome(t *testing.T, suit string, random *rand.Rand) {
	for range 3 {
		tube(t, filepath.Join(suit, "legs", fmt.Sprintf("part-%d.stl", random.IntN(6))), 12+random.IntN(40))
	}
	measures := fmt.Sprintf("calf_girth = %d\n", 250+random.IntN(60))
	require.NoError(t, os.WriteFile(filepath.Join(suit, "wearer.toml"), []byte(measures), 0o666))
}

// nothingTorn looks through all that was written below a folder: each file is
// whole.
func nothingTorn(t *testing.T, suit string) {
	t.Helper()
	walk(t, suit, func(path string, text []byte) {
		if temporaryName(path) {
			return
		}
		ok := true
		switch {
		case strings.HasSuffix(path, ".md"):
			ok = bytes.Contains(text, []byte("everything below this line is yours"))
		case strings.HasSuffix(path, ".html"):
			ok = bytes.HasSuffix(bytes.TrimSpace(text), []byte("</html>"))
		case strings.HasSuffix(path, ".json"):
			ok = json.Valid(text)
		case strings.HasSuffix(path, ".png"):
			ok = bytes.HasSuffix(text, []byte("IEND\xaeB`\x82"))
		case strings.HasSuffix(path, ".stl") && strings.Contains(path, ".fit/"):
			ok = len(text) > 84 && len(text) == 84+50*int(binary.LittleEndian.Uint32(text[80:]))
		}
		if !ok {
			t.Errorf("%s is torn: %d bytes", path, len(text))
		}
	})
}

func temporaryName(path string) bool {
	name := filepath.Base(path)
	return strings.HasPrefix(name, ".gambeson-") || strings.HasSuffix(name, ".tmp") || strings.HasPrefix(name, ".new-") || strings.HasSuffix(name, ".new")
}

func walk(t *testing.T, dir string, look func(path string, text []byte)) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		passing := temporaryName(path) // may be renamed meanwhile
		if passing && errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		text, err := os.ReadFile(path)
		if passing && errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		look(path, text)
		return err
	}))
}

// persons are the sums of the person's files below a folder.
func persons(t *testing.T, suit string) map[string][32]byte {
	all := map[string][32]byte{}
	walk(t, suit, func(path string, text []byte) {
		if accept(path) && !strings.Contains(path, ".fit/") {
			all[path] = sha256.Sum256(text)
		}
	})
	return all
}

// settled starts a daemon once more and lets it come to rest. Then nothing is
// torn or left over, a look once more finds nothing to do, and the person's
// files are what they were.
func settled(t *testing.T, own, suit string) {
	t.Helper()
	before := persons(t, suit)
	require.GreaterOrEqual(t, len(before), 9)
	command, log := daemonIn(t, own, nil, suit, "--log=json")
	parts := 0
	for path := range before {
		if !isConfig(filepath.Base(path)) {
			parts++
		}
	}
	until(t, "all looked into", func() bool {
		s := daemonState(own, suit)
		return s.PID == command.Process.Pid && s.Parts == parts && s.Queued == 0 && bytes.Contains(contentOf(filepath.Join(suit, "SUIT.md")), []byte("part-5.stl"))
	})
	require.NoError(t, command.Process.Signal(syscall.SIGTERM))
	require.NoError(t, command.Wait())
	require.NotContains(t, log.String(), "ended abruptly, ")

	nothingTorn(t, suit)
	for _, dir := range []string{suit, own} {
		walk(t, dir, func(path string, _ []byte) {
			if temporaryName(path) {
				t.Errorf("%s was left over", path)
			}
		})
	}
	written := modified(t, suit)
	check := exec.Command("gambeson", "check", suit, "--json")
	check.Env = append(os.Environ(), ownState(own)...)
	out, err := check.Output()
	if check.ProcessState.ExitCode() != exitData { // of the broken one
		t.Errorf("check: %v", err)
	}
	require.Equal(t, parts, bytes.Count(out, []byte("\n")), "parts are missing: %s", out)
	require.NotContains(t, string(out), "abruptly")
	require.Equal(t, written, modified(t, suit), "a look once more found something to do")
	require.Equal(t, before, persons(t, suit))
}

// daemonState reads the state of a folder as a daemon with a state of its own
// left it.
func daemonState(own, suit string) (s state) {
	_ = json.Unmarshal(contentOf(filepath.Join(own, "XDG_STATE_HOME", "gambeson", store.Key(suit)+".json")), &s) // none yet is none
	return s
}

func contentOf(path string) []byte {
	text, _ := os.ReadFile(path)
	return text
}

// modified tells when each report of a part was last written.
func modified(t *testing.T, suit string) map[string]string {
	all := map[string]string{}
	walk(t, suit, func(path string, _ []byte) {
		if strings.HasPrefix(strings.TrimPrefix(path, suit+"/"), "SUIT.") {
			return // words a part that cannot be read in its own way
		}
		info, err := os.Stat(path)
		require.NoError(t, err)
		all[path] = info.ModTime().Format(time.RFC3339Nano)
	})
	return all
}
