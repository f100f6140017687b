package main

import (
	"io"
	"os"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/mattn/go-isatty"
	"github.com/rs/zerolog"
)

// console is where the program speaks: answers to out, everything else to
// err, most of it through the log. Log messages are constants; what comes
// from outside stands in fields, which zerolog quotes.
type console struct {
	out, err io.Writer
	log      zerolog.Logger
}

const errorLevel = zerolog.ErrorLevel

// logger writes to w: for people on a terminal, else as JSON lines.
func logger(w io.Writer, form, level string) zerolog.Logger {
	least, err := zerolog.ParseLevel(level)
	if err != nil {
		least = zerolog.InfoLevel
	}
	if form == "console" || form == "auto" && terminal(w) {
		w = zerolog.ConsoleWriter{Out: w, TimeFormat: time.TimeOnly, NoColor: os.Getenv("NO_COLOR") != "" || !terminal(w)}
	}
	return zerolog.New(w).Level(least).With().Timestamp().Logger()
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
