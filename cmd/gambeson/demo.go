package main

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"gambeson/config"
)

type demoCmd struct {
	Dir  string `arg:"" optional:"" default:"gambeson-demo" help:"Where to write the suit: a folder of its own (${default})."`
	Once bool   `help:"Stop after everything was looked into once."`
}

func (c *demoCmd) Help() string {
	return `An invented theatre company's suit of armour for an invented wearer. Files that are there already are left as they are, so you may change them and start the demo again.`
}

// Run writes the demo suit, looks into it, and watches on.
func (c *demoCmd) Run(ctx context.Context, out *console) error {
	dir, err := filepath.Abs(c.Dir)
	if err != nil {
		return err
	}
	if err := c.write(dir); err != nil {
		return err
	}
	say(out.out, "The suit is in %s; looking into it.", dir)
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	return attend(ctx, out, "demo", []string{config.Root(dir)}, pace{}, func() {
		say(out.out, "Open %s in a browser, or read SUIT.md beside it; the report of each part lies beside its mesh.", filepath.Join(dir, "SUIT.html"))
		if c.Once {
			stop()
			return
		}
		say(out.out, "Still watching: drop a mesh into the folder, or change one, and its report follows. Ctrl-C ends it.")
	})
}

// write writes the files of the suit that are not there yet. A folder with
// other things in it is left alone.
func (c *demoCmd) write(dir string) error {
	files := demoSuit()
	if err := onlyDemo(dir, files); err != nil {
		return err
	}
	for _, f := range files {
		path := filepath.Join(dir, filepath.FromSlash(f.Name))
		if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
			continue
		}
		text, err := f.Bytes()
		if err != nil {
			return err
		}
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			return fail(exitCannot, "%w", err)
		}
		if err := os.WriteFile(path, text, 0o666); err != nil {
			return fail(exitCannot, "%w", err)
		}
	}
	return nil
}

// onlyDemo refuses a folder that holds something but is no demo suit.
func onlyDemo(dir string, files []demoFile) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(entries) == 0 {
		return nil
	}
	if err != nil {
		return fail(exitCannot, "%w", err)
	}
	for _, f := range files {
		if f.Name != "suit.toml" {
			continue
		}
		want, err := f.Bytes()
		if err != nil {
			return err
		}
		have, err := os.ReadFile(filepath.Join(dir, f.Name))
		first, _, _ := bytes.Cut(want, []byte("\n"))
		if err == nil && bytes.HasPrefix(have, first) {
			return nil
		}
	}
	return fail(exitCannot, "%s is not empty and is no demo suit: name another folder", dir)
}
