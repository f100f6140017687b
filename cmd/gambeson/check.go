package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/cmd/gambeson/store"
	"gambeson/config"
)

type checkCmd struct {
	JSON  bool     `name:"json" help:"Print the findings of each part as one line of JSON."`
	Paths []string `arg:"" name:"path" help:"Mesh files, archives of them, or folders."`
}

func (c *checkCmd) Help() string {
	return `Exit status: 0 all well, 1 some part has a warning, 65 a part could not be read (the others are done), 66 no such file, 73 a report could not be written, 75 the folder is busy, 78 a TOML file is broken (nothing was written).`
}

// Run looks into every part that the paths name, folder by folder.
func (c *checkCmd) Run(ctx context.Context, out *console) error {
	roots, wanted, err := byRoot(c.Paths)
	if err != nil {
		return err
	}
	out.log = out.log.Level(max(out.log.GetLevel(), errorLevel)) // what there is to say goes to out
	worst := exitWell
	for _, root := range roots {
		code, err := c.folder(ctx, out, root, wanted[root])
		if err != nil {
			return err
		}
		worst = max(worst, code)
	}
	if worst != exitWell {
		return &failure{code: worst}
	}
	return nil
}

// byRoot sorts the paths by the suit folder they belong to.
func byRoot(paths []string) (roots []string, wanted map[string][]string, err error) {
	wanted = map[string][]string{}
	for _, p := range paths {
		if _, err := os.Stat(p); err != nil {
			return nil, nil, fail(exitNoInput, "no such file or folder: %s", p)
		}
		path, err := filepath.Abs(p)
		if err != nil {
			return nil, nil, err
		}
		root := config.Root(path)
		if wanted[root] == nil {
			roots = append(roots, root)
		}
		wanted[root] = append(wanted[root], path)
	}
	return roots, wanted, nil
}

// folder looks into the wanted parts of one suit folder and returns the exit
// code that they come to.
func (c *checkCmd) folder(ctx context.Context, out *console, root string, paths []string) (int, error) {
	f := newFolder(root, runtime.GOMAXPROCS(0), out.log)
	if len(f.kept) > 0 {
		for _, k := range f.kept {
			fmt.Fprintln(out.err, printable(k.Errs.Error()))
		}
		return 0, fail(exitConfig, "the files above cannot be used; nothing was looked into and nothing written. SUIT.md and the reports, where there are any, go by what these files said before")
	}
	lock, by, err := takeAfterPassers(ctx, root, "check")
	switch {
	case errors.Is(err, store.ErrHeld):
		f.readOnly = true
		fmt.Fprintf(out.err, "The folder is in the hands of %s: its reports are left to it.\n", by)
	case err != nil:
		return 0, err
	}
	defer lock.Release()
	parts, err := f.wanted(paths)
	if err != nil {
		return 0, err
	}
	for _, m := range config.Mistaken(f.root) {
		fmt.Fprintf(out.err, "%s is not read: if it is meant as %s, give it that name.\n", printable(m.File), m.Meant)
	}
	f.recallOthers(parts)
	f.markOrphans()
	code, err := c.parts(ctx, out, f, parts)
	if err != nil {
		return 0, err
	}
	if _, err := f.sum(); err != nil {
		return 0, fail(exitCannot, "%w", err)
	}
	return code, nil
}

// takeAfterPassers locks root; a command that holds it and ends by itself is waited for.
func takeAfterPassers(ctx context.Context, root, command string) (*store.Hold, store.Holder, error) {
	for {
		lock, by, err := store.Take(root, command)
		if !errors.Is(err, store.ErrHeld) || !slices.Contains([]string{"check", "status", "loads"}, by.Command) {
			return lock, by, err
		}
		select {
		case <-ctx.Done():
			return nil, by, ctx.Err()
		case <-time.After(200 * time.Millisecond):
		}
	}
}

// wanted lists the parts at the paths, each once, in the order given.
func (f *folder) wanted(paths []string) ([]string, error) {
	var parts []string
	added := map[string]bool{}
	add := func(part string) {
		if !added[part] {
			added[part] = true
			parts = append(parts, part)
		}
	}
	for _, p := range paths {
		if info, err := os.Stat(p); err == nil && info.IsDir() {
			found, err := f.parts(p)
			if err != nil {
				return nil, fail(exitNoInput, "cannot look into the folder: %w", err)
			}
			for _, part := range found {
				add(part)
			}
			continue
		}
		if err := named(p); err != nil {
			return nil, err
		}
		relative, err := filepath.Rel(f.root, p)
		if err != nil {
			return nil, err
		}
		add(filepath.ToSlash(relative))
	}
	return parts, nil
}

// named returns nil where a path has the name of a mesh file.
func named(path string) error {
	if mesh.Known(path) {
		return nil
	}
	return fail(exitUsage, "%s is no mesh file by its name: .stl, .3mf, .obj, or .zip with such files in it", path)
}

// recallOthers fills the rows of the parts that are not looked into now from
// their reports, so that SUIT.md stays whole.
func (f *folder) recallOthers(now []string) {
	all, err := f.parts(f.root)
	if err != nil {
		return
	}
	looked := map[string]bool{}
	for _, part := range now {
		looked[part] = true
	}
	for _, part := range all {
		if !looked[part] {
			f.recallFile(part)
		}
	}
}

// parts looks into each part in turn and says what came of it.
func (c *checkCmd) parts(ctx context.Context, out *console, f *folder, parts []string) (int, error) {
	progress := newProgress(out, len(parts))
	defer progress.done()
	code := exitWell
	for _, part := range parts {
		done, err := f.look(ctx, part)
		switch {
		case errors.Is(err, mesh.ErrChanging):
			fmt.Fprintf(out.err, "%s: somebody is writing this file; look again when it is done\n", printable(part))
			code = max(code, exitData)
			continue
		case err != nil && ctx.Err() != nil:
			return code, ctx.Err()
		case err != nil:
			return code, fail(exitCannot, "%w", err)
		}
		progress.step()
		for _, o := range done {
			if o.mate && slices.Contains(parts, o.row.Place.Part) {
				continue // it is said in its turn
			}
			if err := c.say(out, o); err != nil {
				return code, err
			}
			code = max(code, o.code())
			if o.unwritten != nil {
				say(out.err, "%s", o.sayUnwritten())
				code = max(code, exitCannot)
			}
		}
	}
	if len(parts) == 0 {
		fmt.Fprintln(out.err, "There is no mesh file (.stl, .3mf, .obj, or a .zip of them) here.")
	}
	return code, nil
}

func (o outcome) code() int {
	switch {
	case o.crashed:
		return exitInternal
	case o.row.Findings == nil:
		return exitData
	case o.row.Findings.Warned():
		return exitWarning
	}
	return exitWell
}

// say prints one outcome: a line of JSON, or a few lines to read.
func (c *checkCmd) say(out *console, o outcome) error {
	name := o.row.Place.Name()
	if r := o.row.Refusal; r != nil {
		why := join(r.Where, r.Cause, r.Remedy)
		fmt.Fprintf(out.err, "%s: %s\n", printable(name), printable(why))
		if c.JSON {
			return printJSON(out.out, refused(name, r))
		}
		return nil
	}
	if c.JSON {
		return printJSON(out.out, *o.row.Findings)
	}
	fmt.Fprintf(out.out, "%s: %s (%s)\n", printable(name), headline(o.row.Findings), printable(o.row.Place.Report()))
	for _, w := range o.row.Findings.Warnings {
		if w.Level == analysis.LevelWarning {
			fmt.Fprintf(out.out, "    warning: %s\n", printable(w.Text))
		}
	}
	return nil
}

// printJSON prints a line of JSON.
func printJSON(w io.Writer, v any) error {
	line, err := json.Marshal(v)
	if err != nil {
		return err
	}
	_, err = w.Write(append(line, '\n'))
	return err
}
