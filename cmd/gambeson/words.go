package main

import (
	"encoding/hex"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"gambeson/analysis"
	"gambeson/config"

	"github.com/schollz/progressbar/v3"
)

// join joins what is not empty: where, why, what to do.
func join(where, cause, remedy string) string {
	var said []string
	for _, s := range []string{where, cause} {
		if s != "" {
			said = append(said, s)
		}
	}
	text := strings.Join(said, ": ")
	if remedy != "" {
		text += "; " + remedy
	}
	return text
}

// rawName is a name of a file that JSON, which holds text, cannot hold as it is: its
// bytes in hexadecimal digits. It is "" for all others.
func rawName(name string) string {
	if utf8.ValidString(name) {
		return ""
	}
	return hex.EncodeToString([]byte(name))
}

// nameFrom is the name that JSON gave as text, and raw where that is not it.
func nameFrom(text, raw string) string {
	if name, err := hex.DecodeString(raw); err == nil && raw != "" {
		return string(name)
	}
	return text
}

// headline says the answer on one line.
func headline(f *analysis.Findings) string {
	if f.Unknown() {
		return "in doubt, see the warning"
	}
	var said []string
	if f.Bed != nil {
		fits := "does not fit the bed"
		switch b := f.Bed; {
		case b.Fits && b.Placement.Kind == "as-is":
			fits = "fits the bed"
		case b.Fits:
			fits = "fits the bed " + b.Placement.Words()
		case b.Second != nil && b.Second.Fits:
			fits = "fits the second printer, " + b.Second.Placement.Words()
		}
		said = append(said, fits)
	}
	if s, ok := f.Tightest(); ok {
		said = append(said, fmt.Sprintf("tightest inside %.1f mm, %.0f mm along", s.InnerGirth, s.Along))
	} else if f.OnlyCovers() {
		said = append(said, "covers only: no way through for a body was found")
	} else if f.Bed != nil {
		said = append(said, "closes round the body nowhere, so that no girth is known")
	}
	return strings.Join(said, ", ")
}

// progress shows on a terminal how many parts of the first look are done.
type progress struct{ bar *progressbar.ProgressBar }

func newProgress(out *console, parts int) progress {
	if !terminal(out.err) || parts < 2 {
		return progress{}
	}
	return progress{progressbar.NewOptions(parts,
		progressbar.OptionSetWriter(out.err),
		progressbar.OptionSetDescription("looking into the parts"),
		progressbar.OptionShowCount(),
		progressbar.OptionClearOnFinish(),
	)}
}

// step counts one part. A bar that cannot be drawn is no reason to stop.
func (p progress) step() {
	if p.bar != nil {
		_ = p.bar.Add(1)
	}
}

func (p progress) done() {
	if p.bar != nil {
		_ = p.bar.Finish()
	}
}

// say writes a line for the person.
func say(w io.Writer, format string, args ...any) {
	fmt.Fprintln(w, printable(fmt.Sprintf(format, args...)))
}

// hows says for each measure how it is taken.
func hows() map[string]string {
	out := map[string]string{}
	for _, m := range config.Measures() {
		out[m.Name] = m.How
	}
	return out
}

// inPlainWords says what is wrong with a command line without the words of a
// programmer: "a float" is a number, and what was typed is not named by its type.
func inPlainWords(err error) string {
	text := strings.TrimSuffix(err.Error(), " (string)")
	if what, missing := strings.CutPrefix(text, `expected "<`); missing {
		return "missing: <" + strings.Replace(what, `"`, "", 1)
	}
	return strings.Replace(text, "expected a float but got", "expected a number but got", 1)
}
