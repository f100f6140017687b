package main

import (
	"bytes"
	"io"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"time"
	"unicode"
	"unicode/utf8"

	"gambeson/cmd/gambeson/machine"

	"github.com/mattn/go-isatty"
	"github.com/rs/zerolog"
)

// console is where the program speaks: answers to out, everything else to
// err, most of it through the log. Log messages are constants; what comes
// from outside stands in fields, which zerolog quotes.
type console struct {
	out, err io.Writer
	log      zerolog.Logger
	gate     *gate // of log
}

const errorLevel = zerolog.ErrorLevel

// newConsole logs to stderr: to the journal of the system where that is what
// stderr is, in words on a terminal, else as JSON lines.
func newConsole(stdout, stderr io.Writer, form, level string) *console {
	least, err := zerolog.ParseLevel(level)
	if err != nil {
		least = zerolog.InfoLevel
	}
	g := &gate{}
	g.least.Store(int32(least))
	log := zerolog.New(g).Level(zerolog.DebugLevel)
	switch {
	case form == "auto" && machine.Journalled(stderr):
		g.to = &journal{to: stderr}
	case form == "console", form == "auto" && terminal(stderr):
		g.to = zerolog.ConsoleWriter{Out: stderr, TimeFormat: time.TimeOnly, NoColor: os.Getenv("NO_COLOR") != "" || !terminal(stderr)}
		log = log.With().Timestamp().Logger()
	default:
		g.to = stderr
		log = log.With().Timestamp().Logger()
	}
	return &console{out: stdout, err: stderr, log: log, gate: g}
}

// gate lets through what is of its level or above. The level may change while
// the program runs.
type gate struct {
	to    io.Writer
	least atomic.Int32
}

func (g *gate) Write(line []byte) (int, error) { return g.to.Write(line) }

// WriteLevel writes one line of the log.
func (g *gate) WriteLevel(level zerolog.Level, line []byte) (int, error) {
	if int32(level) < g.least.Load() {
		return len(line), nil
	}
	if to, ok := g.to.(zerolog.LevelWriter); ok {
		return to.WriteLevel(level, line)
	}
	return g.to.Write(line)
}

// toggle changes between the debug level and least, and returns the level
// that is then in force.
func (g *gate) toggle(least zerolog.Level) zerolog.Level {
	now := zerolog.DebugLevel
	if zerolog.Level(g.least.Load()) == now {
		now = max(least, zerolog.InfoLevel)
	}
	g.least.Store(int32(now))
	return now
}

// level is the least level logged at present.
func (g *gate) level() zerolog.Level { return zerolog.Level(g.least.Load()) }

// journal writes lines as the system's journal wants them: no time, which it
// knows itself, and the level as a number in front (sd-daemon(3), after
// syslog(3)).
type journal struct {
	to   io.Writer
	mu   sync.Mutex
	text bytes.Buffer
}

func (j *journal) Write(line []byte) (int, error) { return j.WriteLevel(zerolog.InfoLevel, line) }

// WriteLevel writes one line.
func (j *journal) WriteLevel(level zerolog.Level, line []byte) (int, error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.text.Reset()
	j.text.WriteString(priority(level))
	words := zerolog.ConsoleWriter{Out: &j.text, NoColor: true,
		PartsExclude: []string{zerolog.TimestampFieldName, zerolog.LevelFieldName}}
	if _, err := words.Write(line); err != nil {
		return 0, err
	}
	if _, err := j.to.Write(j.text.Bytes()); err != nil {
		return 0, err
	}
	return len(line), nil
}

func priority(level zerolog.Level) string {
	switch {
	case level >= zerolog.ErrorLevel:
		return "<3>"
	case level == zerolog.WarnLevel:
		return "<4>"
	case level == zerolog.InfoLevel:
		return "<6>"
	}
	return "<7>"
}

func terminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && isatty.IsTerminal(f.Fd())
}

// printable replaces what could move the cursor or is not UTF-8, so that a
// file name cannot write on the person's terminal.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r == utf8.RuneError || r != '\n' && !unicode.IsPrint(r) {
			return '\uFFFD'
		}
		return r
	}, s)
}
