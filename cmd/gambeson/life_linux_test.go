package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/cmd/gambeson/store"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

var (
	stops   = flag.Int("stops", usualStops, "how often a daemon at work is asked to stop")
	dense   = flag.Int("dense", 200, "sides of the part that it then looks into: 2000 make 2 M triangles")
	reloads = flag.Int("reloads", usualReloads, "how often a TOML file is broken and mended")
)

// denseGreave writes a part of 4 triangles for each of 250 rings and each side.
func denseGreave(t testing.TB, path string, sides int) {
	t.Helper()
	var keys []shape.Ring
	g := demoGreave()
	for i := 0; i < len(g.Rings); i += 4 { // those that rounded was given
		keys = append(keys, g.Rings[i])
	}
	g.Rings, g.Sides = rounded(50, keys...), sides
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, mesh.WriteSTL(f, ahead(g.Mesh()), "drawn"))
	require.NoError(t, f.Close())
}

// workingOn is what a daemon with a state of its own is looking into.
func workingOn(own, suit string) string { return workOf(own, suit).Part }

func workOf(own, suit string) working {
	var w working
	text, _ := os.ReadFile(filepath.Join(own, "XDG_STATE_HOME", "gambeson", store.Key(suit)+".working"))
	_ = json.Unmarshal(text, &w) // nothing where it is not working
	return w
}

// A daemon that is asked to stop in the middle of its work does so, and leaves
// nothing half-written. That it takes 2 s at most is measured where it is asked
// for, with -stops: a machine that has other things to do may take longer.
func TestStopsInTheMiddle(t *testing.T) {
	const seed = 3
	random := rand.New(rand.NewPCG(seed, seed))
	own, suit := t.TempDir(), t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(suit, "wearer.toml"), []byte("calf_girth = 382\nstature = 1710\n"), 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(suit, "suit.toml"), []byte("[printer]\nbed = [150, 150]\n"), 0o666))
	denseGreave(t, filepath.Join(suit, "greave-left.stl"), *dense)
	took := make([]time.Duration, 0, *stops)
	for range *stops {
		command, log := daemonIn(t, own, nil, suit, "--log=json")
		until(t, "at work", func() bool { return workingOn(own, suit) != "" })
		time.Sleep(time.Duration(random.IntN(10+*dense*15)) * time.Millisecond) // the moment is what is tried
		began := time.Now()
		require.NoError(t, command.Process.Signal(syscall.SIGTERM))
		require.NoError(t, command.Wait(), log.String())
		took = append(took, time.Since(began))
		nothingTorn(t, suit)
		require.Zero(t, log.count(`"level":"error"`), log.String())
		require.NotContains(t, string(contentOf(filepath.Join(suit, "greave-left.stl.md"))), "could not be read")
		_ = os.RemoveAll(filepath.Join(suit, "greave-left.stl.md")) // so that there is work again
	}
	slices.Sort(took)
	t.Logf("half stopped within %v, all within %v", took[len(took)/2], took[len(took)-1])
	if most := took[len(took)-1]; most > 2*time.Second && *stops > usualStops {
		t.Errorf("it took %v to stop", most)
	}
}

// A second signal ends a daemon at once, with the code that the shell gives to
// the signal: even one that hangs, here because nobody reads its log.
func TestSecondSignal(t *testing.T) {
	for signal, code := range map[os.Signal]int{syscall.SIGINT: exitInterrupt, syscall.SIGTERM: exitTerminate} {
		got, between := exitOfHung(t, signal, true)
		for tries := 1; between >= stopWithin && tries < 20; tries++ { // too busy a machine: it had ended by itself
			got, between = exitOfHung(t, signal, true)
		}
		if got != code {
			t.Errorf("%v twice, %v after the other: exit status %d, want %d", signal, between, got, code)
		}
	}
}

// A daemon that hangs when it is asked to stop ends itself, as one that stopped:
// nothing of ours is half-written at any moment.
func TestHungDaemonEndsItself(t *testing.T) {
	code, took := exitOfHung(t, syscall.SIGTERM, false)
	require.Equal(t, exitWell, code)
	require.GreaterOrEqual(t, took, stopWithin, "it did not hang: the test shows nothing")
}

// exitOfHung has a daemon that cannot end get a signal, and, where again is so, a
// second one when it is known to have taken the first. between is the time from
// before the first to after the second, or else to the end.
func exitOfHung(t *testing.T, signal os.Signal, again bool) (code int, between time.Duration) {
	t.Helper()
	own, suit := t.TempDir(), t.TempDir()
	socket := filepath.Join(own, "notify")
	heard, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: socket, Net: "unixgram"})
	require.NoError(t, err)
	defer heard.Close()
	hears := func(word string) {
		buf := make([]byte, 4096)
		for {
			require.NoError(t, heard.SetReadDeadline(time.Now().Add(2*time.Minute)))
			n, err := heard.Read(buf)
			require.NoError(t, err, "never said: %s", word)
			if strings.Contains(string(buf[:n]), word) {
				return
			}
		}
	}
	log, write, err := os.Pipe()
	require.NoError(t, err)
	defer log.Close()
	command := exec.Command("gambeson", "watch", suit, "--log=json")
	command.Env = append(append(os.Environ(), ownState(own)...), "NOTIFY_SOCKET="+socket)
	command.Stderr = write
	require.NoError(t, command.Start())
	defer func() { _ = command.Process.Kill() }() // it has ended, unless the test fails
	hears("READY=1")
	clog(t, write)
	require.NoError(t, write.Close())

	began := time.Now()
	require.NoError(t, command.Process.Signal(signal))
	hears("STOPPING=1")
	if again {
		_ = command.Process.Signal(signal) // it has ended where between is long
		between = time.Since(began)
	}
	defer time.AfterFunc(time.Minute, func() { _ = command.Process.Kill() }).Stop() // it never ended
	_ = command.Wait()                                                              // the code tells
	if !again {
		between = time.Since(began)
	}
	return command.ProcessState.ExitCode(), between
}

// clog fills a pipe, so that whoever writes to it hangs.
func clog(t *testing.T, pipe *os.File) {
	t.Helper()
	fd, err := unix.Open(fmt.Sprintf("/proc/self/fd/%d", pipe.Fd()), unix.O_WRONLY|unix.O_NONBLOCK, 0) // which does not wait, while the other end of it does
	require.NoError(t, err)
	defer unix.Close(fd)
	for room := 4096; room > 0; {
		if _, err := unix.Write(fd, make([]byte, room)); err != nil {
			require.ErrorIs(t, err, unix.EAGAIN)
			room /= 2
		}
	}
}

// A part on which the program crashes is left alone after the second time, with
// a report that says so, until it changes. The others are looked after.
func TestPoison(t *testing.T) {
	own, suit := t.TempDir(), t.TempDir()
	tube(t, filepath.Join(suit, "good.stl"), 12)
	poison := filepath.Join(suit, "poison.stl")
	denseGreave(t, poison, *dense)
	for n := 0; n < mostCrashes; {
		require.NoError(t, os.RemoveAll(poison+".md")) // so that there is work
		began := time.Now()
		command, _ := daemonIn(t, own, nil, suit, "--log=json")
		until(t, "at work on it", func() bool {
			w := workOf(own, suit)
			return w.Part == "poison.stl" && w.Since.After(began) // not what the last one left
		})
		require.NoError(t, command.Process.Signal(syscall.SIGABRT)) // crashes as a fault of the runtime does
		require.Error(t, command.Wait())
		if workingOn(own, suit) == "poison.stl" { // else the work had just ended
			n++
		}
	}
	command, log := daemonIn(t, own, nil, suit, "--log=json")
	until(t, "the other", func() bool { return len(contentOf(filepath.Join(suit, "good.stl.md"))) > 0 })
	until(t, "left alone", func() bool {
		return strings.Contains(string(contentOf(poison+".md")), "ended abruptly, 2 times")
	})
	require.Contains(t, log.String(), `"last_words":"SIGABRT: abort"`)
	require.Contains(t, string(contentOf(poison+".md")), "save it again")
	tube(t, poison, 14)
	until(t, "looked into again", func() bool { return strings.Contains(string(contentOf(poison+".md")), "Inside at 100 %") })
	require.NoError(t, command.Process.Signal(syscall.SIGTERM))
	require.NoError(t, command.Wait())
}

// Ends without a word say little of the file: it is tried more often.
func TestKilledIsNoCrash(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	tube(t, filepath.Join(suit, "a.stl"), 12)
	var due deadline
	counts := map[string]ends{}
	for n := 1; n <= mostEnds; n++ {
		f := newFolder(suit, 1, newConsole(&lines{}, &lines{}, "json", "info").log)
		f.openLedger(counts, filepath.Join(t.TempDir(), "no words"), &due)
		require.NoError(t, f.poison("a.stl"), "after %d", n-1)
		f.begin("a.stl", time.Minute) // and never ends
		counts = f.ledger.ends
	}
	f := newFolder(suit, 1, newConsole(&lines{}, &lines{}, "json", "info").log)
	f.openLedger(counts, "", &due)
	require.Error(t, f.poison("a.stl"))
	require.False(t, f.suspect("a.stl"))
	tube(t, filepath.Join(suit, "a.stl"), 13)
	require.NoError(t, f.poison("a.stl"))
	f.begin("a.stl", time.Minute)()
	f.forgive("a.stl")
	require.Empty(t, f.ledger.ends)
}

// The work that a daemon was asked to leave is no end on its file, even where the
// daemon has to end before the work does.
func TestStoppedIsNoEnd(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	tube(t, filepath.Join(suit, "a.stl"), 12)
	d := newDaemon(newConsole(&lines{}, &lines{}, "json", "info"), "check", nil)
	f := newFolder(suit, 1, d.log)
	f.openLedger(nil, "", &d.due)
	f.begin("a.stl", time.Minute) // and never ends
	_, working := f.ledger.read()
	require.True(t, working)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	d.heedWishes(ctx)
	_, working = f.ledger.read()
	require.False(t, working)
}

// What the log says at its most, of a session with too tight and too long parts
// and a wearer.toml that is wrong, holds none of the wearer's measures nor what
// follows from them.
func TestLogHoldsNoMeasures(t *testing.T) {
	suit := t.TempDir()
	const right, wrong = "calf_girth = 387.31\nheel_girth = 341.72\nstature = \"168.43 cm\"\nfoot_length = 243.91\n", "calf_girth = 98765.4\nheel = 341.72\n"
	require.NoError(t, os.WriteFile(filepath.Join(suit, "wearer.toml"), []byte(right), 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(suit, "suit.toml"), []byte("[[part]]\nfile = \"sole.stl\"\nregion = \"foot\"\n[[part]]\nfile = \"small.stl\"\nregion = \"lower_leg\"\npercent = 60\n"), 0o666))
	denseGreave(t, filepath.Join(suit, "greave-left.stl"), 24)
	denseGreave(t, filepath.Join(suit, "small.stl"), 24)
	denseGreave(t, filepath.Join(suit, "sole.stl"), 24)
	log, stop := watching(t, suit)
	until(t, "all three", func() bool { return log.count(`"event":"reported"`) == 3 })
	require.NoError(t, os.WriteFile(filepath.Join(suit, "wearer.toml"), []byte(wrong), 0o666))
	until(t, "broken", func() bool { return log.has(`"event":"config_broken"`) })
	require.NoError(t, os.WriteFile(filepath.Join(suit, "wearer.toml"), []byte(strings.Replace(right, "387.31", "391.87", 1)), 0o666))
	until(t, "mended", func() bool { return log.has(`"event":"config_mended"`) })
	stop()

	secret := []string{"387.3", "391.8", "391.9", "341.7", "1684.3", "168.4", "243.9", "98765"}
	said := 0
	for _, part := range []string{"greave-left.stl", "small.stl", "sole.stl"} {
		var f analysis.Findings
		require.NoError(t, json.Unmarshal(contentOf(filepath.Join(suit, part+".fit", "findings.json")), &f))
		require.NotNil(t, f.Fit, part)
		for _, s := range f.Fit.Sits {
			secret = append(secret, fmt.Sprintf("%.1f", s.Needed))
		}
		for _, e := range f.Fit.Entries {
			secret = append(secret, fmt.Sprintf("%.1f", e.Needed))
		}
		for _, w := range f.Warnings {
			if w.Level == analysis.LevelWarning && !impersonal[w.Code] {
				said++
			}
		}
	}
	require.Positive(t, said, "no warning told a measure: the test shows nothing")
	// How long a stage took may be any number.
	untimed := regexp.MustCompile(`"\w+_ms":[0-9.e+-]+|"time":"[^"]*"`).ReplaceAllString(log.String(), "")
	for _, s := range secret {
		if strings.Contains(untimed, s) {
			t.Errorf("the log holds %s:\n%s", s, log)
		}
	}
	require.Contains(t, log.String(), `; its report says where and what to do`)
}

// A TOML file that is broken and mended again and again is noticed each time,
// and leaves no file open and no goroutine behind. One that is removed keeps
// its last good values.
func TestReloads(t *testing.T) {
	suit := t.TempDir()
	tube(t, filepath.Join(suit, "a.stl"), 12)
	save := func(text string) {
		require.NoError(t, os.WriteFile(filepath.Join(suit, "next"), []byte(text), 0o666))
		require.NoError(t, os.Rename(filepath.Join(suit, "next"), filepath.Join(suit, "suit.toml")))
	}
	save("[shell]\npadding = 5\n")
	log, stop := watching(t, suit)
	until(t, "a report", func() bool { return log.has(`"event":"reported"`) })
	var slowest time.Duration
	files, routines := 0, 0
	for i := 1; i <= *reloads; i++ {
		began := time.Now()
		save("[shell]\npaddding = 5\n")
		until(t, "broken", func() bool { return log.count(`"event":"config_broken"`) == i })
		slowest = max(slowest, time.Since(began))
		save(fmt.Sprintf("[shell]\npadding = %d\n", 5+i%2))
		until(t, "mended", func() bool { return log.count(`"event":"config_mended"`) == i })
		if i == 2 {
			files, routines = openFiles(), runtime.NumGoroutine()
		}
	}
	t.Logf("%d reloads, a broken file is said within %v", 2**reloads, slowest)
	until(t, "as many files and goroutines as at the start", func() bool {
		return openFiles() <= files && runtime.NumGoroutine() <= routines
	})
	require.NoError(t, os.Remove(filepath.Join(suit, "suit.toml")))
	until(t, "gone", func() bool { return log.has("suit.toml: is gone") })
	require.Contains(t, log.String(), "stay in force")
	stop()
	require.Contains(t, string(contentOf(filepath.Join(suit, "SUIT.md"))), "is gone")
}

// openFiles counts the files that this process has open, 0 where the system
// does not tell.
func openFiles() int {
	entries, _ := os.ReadDir("/proc/self/fd")
	return len(entries)
}

// A part that would take for ever is given up and said to be, its file is still
// the person's own, and the others have their turn.
func TestPartThatTakesTooLong(t *testing.T) {
	suit := t.TempDir()
	denseGreave(t, filepath.Join(suit, "greave.stl"), 400)
	bar, err := os.Create(filepath.Join(suit, "bar.stl"))
	require.NoError(t, err)
	require.NoError(t, mesh.WriteSTL(bar, shape.Bar{X: 60, Y: 15, Z: 10}.Mesh(), "bar"))
	require.NoError(t, bar.Close())
	f := newFolder(suit, 1, zerolog.Nop())
	f.patience = func(int64) time.Duration { return 0 } // until it is first looked at
	done, err := f.look(t.Context(), "greave.stl")
	require.NoError(t, err)
	require.NotNil(t, done[0].row.Refusal)
	require.Contains(t, done[0].row.Refusal.Cause, "took too long")
	text, err := os.ReadFile(filepath.Join(suit, "greave.stl.md"))
	require.NoError(t, err)
	require.Contains(t, string(text), "looking into it took too long and was given up")
	done, err = f.look(t.Context(), "bar.stl")
	require.NoError(t, err)
	require.Nil(t, done[0].row.Refusal)
}
