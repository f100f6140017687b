package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/alecthomas/kong"
)

// version is part of every fingerprint: raise it when answers change, so that
// parts are looked at again.
const version = "0.5.16"

// Exit codes, after sysexits.h where it has one. 2 is never used: Go itself
// uses it for a panic.
const (
	exitWell     = 0
	exitWarning  = 1  // some part has a warning
	exitUsage    = 64 // EX_USAGE
	exitData     = 65 // EX_DATAERR: a part could not be read
	exitNoInput  = 66 // EX_NOINPUT
	exitInternal = 70 // EX_SOFTWARE
	exitCannot   = 73 // EX_CANTCREAT
	exitHeld     = 75 // EX_TEMPFAIL: another daemon holds the folder
	exitConfig   = 78 // EX_CONFIG: a TOML file is broken
)

// commands is the command line.
type commands struct {
	Log     string           `help:"Form of the log on standard error: ${enum}." enum:"auto,console,json" default:"auto" placeholder:"FORM"`
	Level   string           `help:"Least level logged: ${enum}." enum:"debug,info,warn,error" default:"info" placeholder:"LEVEL"`
	Version kong.VersionFlag `help:"Say the version and stop."`

	Watch  watchCmd  `cmd:"" help:"Stay on the folders and look into every mesh that comes or changes."`
	Check  checkCmd  `cmd:"" help:"Look once into the meshes at these paths: the same reports, bands and pictures."`
	Demo   demoCmd   `cmd:"" help:"Write an invented suit, look into it, say where the reports are, and watch on."`
	Start  startCmd  `cmd:"" help:"Write commented starter files (suit.toml, wearer.toml, logbook.toml) into a folder."`
	Girths girthsCmd `cmd:"" help:"Say at once how far round a mesh is at each height, outside and inside."`
	Loads  loadsCmd  `cmd:"" help:"Lay all test bands of a suit out on as few beds as they fit, one mesh for each bed."`
	Tried  triedCmd  `cmd:"" help:"Add to the logbook what a try-on showed."`
	Status statusCmd `cmd:"" help:"Say what the daemon on a folder is doing, and its last warnings."`

	Help    helpCmd    `cmd:"" help:"Tell more: gambeson help files, measuring, settings, codes or words."`
	Service serviceCmd `cmd:"" help:"Print a unit for systemd, so that the folders are watched from login on."`
}

const description = `Looks into the mesh files of a suit of hard-shell costume armour before anything is printed: does the part fit the printer, how wide is it inside, where is it tightest on this wearer, and which thin ring to print first. Reports lie beside the meshes; SUIT.md and SUIT.html, for a browser, sum up the folder. A shell made this way is a costume, not protective equipment.`

// failure ends the program with a code; its error is said on standard error
// unless nil.
type failure struct {
	code int
	err  error
}

func (f *failure) Error() string {
	if f.err == nil {
		return fmt.Sprintf("exit %d", f.code)
	}
	return f.err.Error()
}

func (f *failure) Unwrap() error { return f.err }

func fail(code int, format string, args ...any) error {
	return &failure{code, fmt.Errorf(format, args...)}
}

// run is the program: it carries out args and returns the exit code.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) (code int) {
	type ended int
	defer func() {
		switch r := recover().(type) {
		case nil:
		case ended: // --help or --version
			code = int(r)
		default:
			panic(r)
		}
	}()
	var c commands
	parser, err := kong.New(&c, kong.Name("gambeson"), kong.Description(description),
		kong.Vars{"version": "gambeson " + version}, kong.Writers(stdout, stderr),
		kong.Exit(func(code int) { panic(ended(code)) }), kong.UsageOnError(),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}))
	if err != nil {
		fmt.Fprintln(stderr, "gambeson:", err)
		return exitInternal
	}
	parser.Model.HelpFlag.Help = "Say how this is used, and stop."
	if len(args) == 0 {
		args = []string{"--help"}
	}
	parsed, err := parser.Parse(args)
	if err != nil {
		fmt.Fprintf(stderr, "gambeson: %s\nSay gambeson --help for the commands.\n", printable(inPlainWords(err)))
		return exitUsage
	}
	parsed.BindTo(ctx, (*context.Context)(nil))
	err = parsed.Run(newConsole(stdout, stderr, c.Log, c.Level))
	var f *failure
	switch {
	case err == nil, errors.Is(err, context.Canceled):
		return exitWell
	case !errors.As(err, &f):
		f = &failure{exitInternal, err}
	}
	if f.err != nil {
		fmt.Fprintln(stderr, "gambeson:", printable(f.Error()))
	}
	return f.code
}
