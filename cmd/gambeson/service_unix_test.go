//go:build unix

package main

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/cmd/gambeson/machine"

	"github.com/stretchr/testify/require"
)

// daemonIn starts a daemon as a process of its own with a state of its own, and
// returns it with what it logs.
func daemonIn(t *testing.T, own string, env []string, args ...string) (*exec.Cmd, *lines) {
	t.Helper()
	command := exec.Command("gambeson", append([]string{"watch"}, args...)...)
	command.Env = append(append(os.Environ(), ownState(own)...), env...)
	log := &lines{}
	command.Stdout, command.Stderr = log, log
	require.NoError(t, command.Start())
	t.Cleanup(func() {
		if command.ProcessState == nil {
			_ = command.Process.Kill() // it may have ended
			_ = command.Wait()
		}
	})
	return command, log
}

// ownState are the variables that keep a process away from the account's own
// state.
func ownState(dir string) []string {
	var env []string
	for _, name := range []string{"XDG_STATE_HOME", "XDG_RUNTIME_DIR", "XDG_CACHE_HOME"} {
		own := filepath.Join(dir, name)
		_ = os.MkdirAll(own, 0o700) // the process says so
		env = append(env, name+"="+own)
	}
	return append(env, "DBUS_SESSION_BUS_ADDRESS=")
}

// until looks often until something is so, and fails after two minutes.
func until(t *testing.T, what string, so func() bool) {
	t.Helper()
	look := time.NewTicker(10 * time.Millisecond)
	defer look.Stop()
	giveUp := time.After(5 * time.Minute) // under the race detector, on a busy machine
	for !so() {
		select {
		case <-look.C:
		case <-giveUp:
			t.Fatalf("never came: %s", what)
		}
	}
}

// tube writes a small tube, a part that is looked into in a moment.
func tube(t *testing.T, path string, sides int) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, mesh.WriteSTL(f, shape.Tube{Sides: sides, Radius: 50, Wall: 3, Height: 80}.Mesh(), "drawn"))
	require.NoError(t, f.Close())
}

// A manager of services is told when the folders are watched, what is being
// done, of a reload with its time, that the daemon is alive, and when it ends.
// (sd_notify(3) of systemd 257.)
func TestTellsTheManagerOfServices(t *testing.T) {
	own, suit := t.TempDir(), t.TempDir()
	tube(t, filepath.Join(suit, "a.stl"), 16)
	socket := filepath.Join(own, "notify")
	heard, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: socket, Net: "unixgram"})
	require.NoError(t, err)
	defer heard.Close()
	said := &lines{}
	go func() {
		buf := make([]byte, 4096)
		for {
			n, err := heard.Read(buf)
			if err != nil {
				return
			}
			said.Write(append(buf[:n:n], "\n--\n"...))
		}
	}()
	command, _ := daemonIn(t, own, []string{"NOTIFY_SOCKET=" + socket, "WATCHDOG_USEC=400000"}, suit)
	until(t, "ready", func() bool { return said.has("READY=1") })
	until(t, "alive", func() bool { return said.count("WATCHDOG=1") > 3 })
	until(t, "status", func() bool { return said.has("STATUS=watching 1 folder with 1 file,") })

	ready := said.count("READY=1")
	require.NoError(t, command.Process.Signal(syscall.SIGHUP))
	until(t, "reloaded", func() bool { return said.count("READY=1") > ready })
	reload := regexp.MustCompile(`RELOADING=1\nMONOTONIC_USEC=(\d+)\n`).FindStringSubmatch(said.String())
	require.Len(t, reload, 2, said.String())
	at, err := strconv.ParseInt(reload[1], 10, 64)
	require.NoError(t, err)
	uptime, err := os.ReadFile("/proc/uptime")
	if err == nil {
		up, err := strconv.ParseFloat(strings.Fields(string(uptime))[0], 64)
		require.NoError(t, err)
		require.InDelta(t, up*1e6, float64(at), 60e6, "the time of the reload is no time since the machine began")
	}
	require.NoError(t, command.Process.Signal(syscall.SIGTERM))
	require.NoError(t, command.Wait())
	until(t, "stopping", func() bool { return said.has("STOPPING=1") })
}

// A daemon that is stopped, as a stuck one is, is not said to be alive.
func TestSaysNoLongerThatItIsAlive(t *testing.T) {
	d := newDaemon(newConsole(&lines{}, &lines{}, "json", "info"), "check", nil)
	d.due.Store(&struct {
		at     time.Time
		ledger *ledger
	}{at: time.Now().Add(-time.Second)})
	if d.sound(t.Context()) {
		t.Error("work that is overdue counts as sound")
	}
}

// The manager reads the unit as it was meant, and finds it shut in well enough.
// What the unit of a person's manager cannot have anyway, capabilities and
// another account, is given to it for the exposure level, which counts as for a
// unit of the whole system.
func TestUnit(t *testing.T) {
	dir := t.TempDir()
	program := filepath.Join(dir, "gambeson")
	require.NoError(t, os.WriteFile(program, nil, 0o777))
	odd := filepath.Join(dir, `my "suit" 100% $HOME\x`)
	require.NoError(t, os.Mkdir(odd, 0o777))
	text := unit(program, []string{odd}, nil)
	require.Contains(t, text, `/my \"suit\" 100%% $$HOME\\x"`)
	strict := unit(program, []string{odd}, []string{dir})
	needy := regexp.MustCompile(`(?m)^(Protect|Private|ReadWritePaths=|CapabilityBoundingSet=)`) // need user namespaces in a person's manager: systemd.exec(5)
	require.NotRegexp(t, needy, text)
	require.Regexp(t, needy, strict)
	require.Contains(t, strict, "\nPrivateUsers=yes\n", "else older managers leave the others out without a word")
	require.Contains(t, strict, "ReadWritePaths="+quoteUnit(odd)+" "+quoteUnit(dir))

	if _, err := exec.LookPath("systemd-analyze"); err != nil {
		t.Skip("no systemd-analyze here: what systemd says of the unit was not asked")
	}
	for name, text := range map[string]string{"plain": text, "strict": strict} {
		path := filepath.Join(dir, name+".service")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
		verify := exec.Command("systemd-analyze", "verify", "--user", path)
		verify.Env = append(os.Environ(), "XDG_RUNTIME_DIR="+dir)
		out, err := verify.CombinedOutput()
		require.NoError(t, err, "%s: %s", name, out)
		require.Empty(t, string(out), name)

		as := strings.Replace(text, "[Service]\n", "[Service]\nUser=mira\nCapabilityBoundingSet=\n", 1)
		require.NoError(t, os.WriteFile(path, []byte(as), 0o666))
		most := map[string]string{"plain": "50", "strict": "20"}[name]
		out, err = exec.Command("systemd-analyze", "security", "--offline=true", "--threshold="+most, path).CombinedOutput()
		require.NoError(t, err, "%s: more exposed than %s tenths: %s", name, most, out)
	}
}

// Under the journal, lines have their level in front and no time.
func TestJournal(t *testing.T) {
	out, err := os.Create(filepath.Join(t.TempDir(), "journal"))
	require.NoError(t, err)
	defer out.Close()
	info, err := out.Stat()
	require.NoError(t, err)
	s := info.Sys().(*syscall.Stat_t)
	t.Setenv("JOURNAL_STREAM", strconv.FormatUint(uint64(s.Dev), 10)+":"+strconv.FormatUint(uint64(s.Ino), 10))
	c := newConsole(&lines{}, out, "auto", "info")
	c.log.Warn().Str("file", "a\n<0>b.stl").Msg("a part has a warning")
	c.log.Info().Msg("watching")
	c.log.Debug().Msg("not said")
	c.gate.toggle(c.gate.level())
	c.log.Debug().Msg("said")
	c.gate.toggle(c.gate.level())
	c.log.Debug().Msg("not said")
	c.log.Error().Msg("broken")
	text, err := os.ReadFile(out.Name())
	require.NoError(t, err)
	require.Equal(t, "<4>a part has a warning file=\"a\\n<0>b.stl\"\n<6>watching\n<7>said\n<3>broken\n", string(text))

	t.Setenv("JOURNAL_STREAM", "1:2")
	if machine.Journalled(out) {
		t.Error("another stream is taken for the journal")
	}
}
