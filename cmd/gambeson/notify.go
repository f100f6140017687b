package main

import (
	"context"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/godbus/dbus/v5"
	"github.com/rs/zerolog"
)

// bubbleRest is the least time between two notes on the desktop about one
// folder.
const bubbleRest = 10 * time.Second

// note is one note on the desktop: about one folder, in place of the one
// before.
type note struct {
	id            uint32 // of the note that it replaces, 0 for none
	title         string
	lines         []string
	stops         bool
	withdrawnOnly bool // nothing is left to say: take the old one away
}

// desktop is where notes are shown.
type desktop interface {
	show(ctx context.Context, n note) (id uint32, err error)
	close()
}

// bubbles keeps one note a folder on the desktop, about what the person must
// act on. Where there is no desktop nothing happens.
type bubbles struct {
	open func(ctx context.Context) (desktop, error)
	log  zerolog.Logger

	mu     sync.Mutex
	wanted map[string]map[[2]string]concern // by folder: what began and was not shown yet
	over   map[string]bool                  // folders of which nothing holds any more
	wake   chan struct{}
}

func newBubbles(log zerolog.Logger) *bubbles {
	return &bubbles{open: sessionBus, log: log, wanted: map[string]map[[2]string]concern{}, over: map[string]bool{}, wake: make(chan struct{}, 1)}
}

// tell wants concerns shown that have begun, and those that have ended no more.
// clear says that nothing holds in the folder now.
func (b *bubbles) tell(folder string, begun, ended []concern, clear bool) {
	if b == nil || len(begun)+len(ended) == 0 {
		return
	}
	b.mu.Lock()
	for _, c := range begun {
		if b.wanted[folder] == nil {
			b.wanted[folder] = map[[2]string]concern{}
		}
		b.wanted[folder][[2]string{c.About, c.What}] = c
	}
	for _, c := range ended {
		delete(b.wanted[folder], [2]string{c.About, c.What})
	}
	b.over[folder] = clear
	b.mu.Unlock()
	select {
	case b.wake <- struct{}{}:
	default:
	}
}

// run shows notes until ctx ends.
func (b *bubbles) run(ctx context.Context) {
	var desk desktop
	shown := map[string]uint32{}
	last := map[string]time.Time{}
	for {
		select {
		case <-ctx.Done():
			if desk != nil {
				desk.close()
			}
			return
		case <-b.wake:
		case <-b.pause(last):
		}
		for folder, n := range b.due(shown, last) {
			var err error
			if desk == nil {
				desk, err = b.open(ctx)
			}
			if err == nil && desk != nil {
				shown[folder], err = desk.show(ctx, n)
			}
			last[folder] = time.Now()
			if err != nil {
				b.log.Debug().Str("event", "no_note").Err(err).Msg("no note on the desktop")
				if desk != nil {
					desk.close()
				}
				desk = nil
				clear(shown)
			}
		}
	}
}

// pause fires when a note that was held back may be shown; nil where none is.
func (b *bubbles) pause(last map[string]time.Time) <-chan time.Time {
	b.mu.Lock()
	defer b.mu.Unlock()
	var first time.Time
	for folder := range b.wanted {
		if at := last[folder].Add(bubbleRest); first.IsZero() || at.Before(first) {
			first = at
		}
	}
	if first.IsZero() {
		return nil
	}
	return time.After(time.Until(first))
}

// due takes the notes that may be shown now.
func (b *bubbles) due(shown map[string]uint32, last map[string]time.Time) map[string]note {
	b.mu.Lock()
	defer b.mu.Unlock()
	notes := map[string]note{}
	for folder, over := range b.over {
		if over && len(b.wanted[folder]) == 0 && shown[folder] != 0 {
			notes[folder] = note{id: shown[folder], withdrawnOnly: true}
		}
		delete(b.over, folder)
	}
	for folder, wanted := range b.wanted {
		switch {
		case len(wanted) == 0:
			delete(b.wanted, folder)
		case time.Since(last[folder]) >= bubbleRest:
			notes[folder] = composeNote(folder, wanted, shown[folder])
			delete(b.wanted, folder)
		}
	}
	return notes
}

// composeNote says some concerns of a folder.
func composeNote(folder string, wanted map[[2]string]concern, id uint32) note {
	const most = 3
	n := note{id: id, title: "gambeson: " + printable(filepath.Base(folder))}
	var all []concern
	for _, c := range wanted {
		all = append(all, c)
		n.stops = n.stops || c.Stops
	}
	slices.SortFunc(all, byAbout)
	for _, c := range all[:min(len(all), most)] {
		n.lines = append(n.lines, printable(c.line()))
	}
	if more := len(all) - most; more > 0 {
		n.lines = append(n.lines, fmt.Sprintf("and %d more: see SUIT.md", more))
	}
	return n
}

// bus shows notes by the Desktop Notifications Specification 1.2
// (specifications.freedesktop.org/notification-spec).
type bus struct {
	conn   *dbus.Conn
	server dbus.BusObject
	markup bool // the body is read as markup, and so is to be escaped
}

const notifications = "org.freedesktop.Notifications"

// sessionBus connects to the session bus of the person, nil where there is
// none. It starts none.
func sessionBus(ctx context.Context) (desktop, error) {
	address := os.Getenv("DBUS_SESSION_BUS_ADDRESS")
	if address == "" {
		socket := filepath.Join(os.Getenv("XDG_RUNTIME_DIR"), "bus")
		if info, err := os.Stat(socket); os.Getenv("XDG_RUNTIME_DIR") == "" || err != nil || info.Mode()&os.ModeSocket == 0 {
			return nil, nil
		}
		address = "unix:path=" + dbus.EscapeBusAddressValue(socket)
	}
	conn, err := dbus.Connect(address, dbus.WithContext(ctx))
	if err != nil {
		return nil, err
	}
	b := &bus{conn: conn, server: conn.Object(notifications, "/org/freedesktop/Notifications")}
	var can []string
	if err := b.call(ctx, "GetCapabilities").Store(&can); err != nil {
		conn.Close()
		return nil, err
	}
	b.markup = slices.Contains(can, "body-markup")
	return b, nil
}

// answerWithin bounds how long a server of notes is waited for.
const answerWithin = 5 * time.Second

func (b *bus) call(ctx context.Context, method string, args ...any) *dbus.Call {
	ctx, cancel := context.WithTimeout(ctx, answerWithin)
	defer cancel()
	return b.server.CallWithContext(ctx, notifications+"."+method, 0, args...)
}

func (b *bus) close() { b.conn.Close() }

func (b *bus) show(ctx context.Context, n note) (id uint32, err error) {
	if n.withdrawnOnly {
		return 0, b.call(ctx, "CloseNotification", n.id).Err
	}
	body := strings.Join(n.lines, "\n")
	if b.markup {
		body = html.EscapeString(body)
	}
	urgency := byte(1)
	if n.stops {
		urgency = 2
	}
	hints := map[string]dbus.Variant{"urgency": dbus.MakeVariant(urgency), "desktop-entry": dbus.MakeVariant("gambeson")}
	err = b.call(ctx, "Notify", "gambeson", n.id, "", n.title, body, []string{}, hints, int32(-1)).Store(&id)
	return id, err
}
