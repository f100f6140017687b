package main

import (
	"bufio"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/godbus/dbus/v5"
	"github.com/stretchr/testify/require"
)

// noteServer is a server of notes (Desktop Notifications Specification 1.2)
// that remembers.
type noteServer struct {
	can   []string
	notes chan [3]string // title, body, and what it replaces
	gone  chan uint32
}

func (s *noteServer) GetCapabilities() ([]string, *dbus.Error) { return s.can, nil }

func (s *noteServer) Notify(app string, replaces uint32, icon, title, body string, actions []string, hints map[string]dbus.Variant, timeout int32) (uint32, *dbus.Error) {
	s.notes <- [3]string{title, body, string(rune('0' + replaces))}
	return 5, nil
}

func (s *noteServer) CloseNotification(id uint32) *dbus.Error {
	s.gone <- id
	return nil
}

// session starts a session bus of its own with a server of notes on it.
func session(t *testing.T, can ...string) (address string, server *noteServer) {
	t.Helper()
	program, err := exec.LookPath("dbus-daemon")
	if err != nil {
		t.Skip("no dbus-daemon here: notes were not sent over a real bus")
	}
	bus := exec.Command(program, "--session", "--nofork", "--print-address", "--address=unix:path="+filepath.Join(t.TempDir(), "bus"))
	out, err := bus.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, bus.Start())
	t.Cleanup(func() {
		_ = bus.Process.Kill()
		_ = bus.Wait() // killed
	})
	address, err = bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	address = strings.TrimSpace(address)
	conn, err := dbus.Connect(address)
	require.NoError(t, err)
	t.Cleanup(func() { conn.Close() })
	server = &noteServer{can: can, notes: make(chan [3]string, 20), gone: make(chan uint32, 20)}
	require.NoError(t, conn.Export(server, "/org/freedesktop/Notifications", notifications))
	reply, err := conn.RequestName(notifications, 0)
	require.NoError(t, err)
	require.Equal(t, dbus.RequestNameReplyPrimaryOwner, reply)
	return address, server
}

// A note goes over a real bus: its text escaped where the server reads markup,
// as it is where it does not, in place of the one before, and away again.
func TestNotesOnABus(t *testing.T) {
	for _, can := range [][]string{{"body", "body-markup"}, {"body"}} {
		address, server := session(t, can...)
		t.Setenv("DBUS_SESSION_BUS_ADDRESS", address)
		desk, err := sessionBus(t.Context())
		require.NoError(t, err)
		id, err := desk.show(t.Context(), note{title: "gambeson: heron", lines: []string{"<b>a&b</b>.stl: cannot be read"}})
		require.NoError(t, err)
		require.Equal(t, uint32(5), id)
		body := "<b>a&b</b>.stl: cannot be read"
		if len(can) > 1 {
			body = "&lt;b&gt;a&amp;b&lt;/b&gt;.stl: cannot be read"
		}
		require.Equal(t, [3]string{"gambeson: heron", body, "0"}, <-server.notes)
		_, err = desk.show(t.Context(), note{id: 5, title: "t", lines: []string{"x", "y"}, stops: true})
		require.NoError(t, err)
		require.Equal(t, [3]string{"t", "x\ny", "5"}, <-server.notes)
		_, err = desk.show(t.Context(), note{id: 5, withdrawnOnly: true})
		require.NoError(t, err)
		require.Equal(t, uint32(5), <-server.gone)
		desk.close()
	}
}

// A daemon tells the desktop of a part that cannot be read, once for all starts,
// and takes that away when the part is mended; suit.toml can want none of it.
func TestDaemonShowsNotes(t *testing.T) {
	address, server := session(t, "body")
	own, suit := t.TempDir(), t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(suit, "a.stl"), []byte("no mesh"), 0o666))
	start := func() (stop func()) {
		command, log := daemonIn(t, own, []string{"DBUS_SESSION_BUS_ADDRESS=" + address}, suit, "--log=json")
		until(t, "looked into", func() bool {
			return daemonState(own, suit).PID == command.Process.Pid && daemonState(own, suit).Parts > 0
		})
		return func() {
			require.NoError(t, command.Process.Signal(syscall.SIGTERM))
			require.NoError(t, command.Wait(), log.String())
		}
	}
	stop := start()
	got := <-server.notes
	require.Contains(t, got[1], "a.stl: cannot be read")
	stop()
	stop = start()
	tube(t, filepath.Join(suit, "b.stl"), 12)
	until(t, "b", func() bool { return len(contentOf(filepath.Join(suit, "b.stl.md"))) > 0 })
	stop()
	require.NoError(t, os.WriteFile(filepath.Join(suit, "suit.toml"), []byte("[watch]\nnotify = false\n"), 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(suit, "b.stl"), []byte("no mesh either"), 0o666))
	stop = start()
	until(t, "b is broken", func() bool { return daemonState(own, suit).Unreadable == 2 })
	stop()
	t.Setenv("DBUS_SESSION_BUS_ADDRESS", address)
	desk, err := sessionBus(t.Context())
	require.NoError(t, err)
	defer desk.close()
	_, err = desk.show(t.Context(), note{title: "the last"}) // which comes after all that the daemons had shown
	require.NoError(t, err)
	if n := <-server.notes; n[0] != "the last" {
		t.Errorf("a note too many: %q", n)
	}
}
