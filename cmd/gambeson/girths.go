package main

import (
	"context"
	"fmt"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/report/disk"
)

type girthsCmd struct {
	Every float64  `default:"10" help:"Height between two levels, in mm." placeholder:"MM"`
	JSON  bool     `name:"json" help:"Print one line of JSON for each part."`
	Paths []string `arg:"" name:"file" help:"Mesh files, or archives of them."`
}

func (c *girthsCmd) Help() string {
	return `What a tape finds at each height of a part as it lies in its file, at the scale and in the unit that suit.toml has for it. It knows nothing of the wearer and writes nothing; where the body goes, and how the tape lies there, is in the report of the part.

Exit status: 0 all measured, 65 a part could not be read (the others are done), 66 no such file, 78 a TOML file is broken.`
}

// Run says how far round the parts are, level by level.
func (c *girthsCmd) Run(ctx context.Context, out *console) error {
	if !(c.Every >= 0.1 && c.Every <= 10_000) {
		return fail(exitUsage, "--every %g: a height between 0.1 and 10000 mm is expected", c.Every)
	}
	for _, p := range c.Paths {
		if err := named(p); err != nil {
			return err
		}
	}
	roots, wanted, err := byRoot(c.Paths)
	if err != nil {
		return err
	}
	out.log = out.log.Level(max(out.log.GetLevel(), errorLevel))
	measured, unread := false, false
	for _, root := range roots {
		f := newFolder(root, runtime.GOMAXPROCS(0), out.log)
		if len(f.kept) > 0 {
			return fail(exitConfig, "%s; nothing was measured", f.kept[0].Errs.Error())
		}
		for _, path := range wanted[root] {
			all, refused := c.measure(ctx, f, path)
			if err := ctx.Err(); err != nil {
				return err
			}
			for _, g := range all {
				if err := c.say(out, g); err != nil {
					return err
				}
				measured = true
			}
			for _, err := range refused {
				fmt.Fprintln(out.err, printable(err.Error()))
				unread = true
			}
		}
	}
	if measured && !c.JSON {
		say(out.out, "Outside: a tape drawn tight round it. Inside: along the wall of the hole; – where the shell does not close round one.")
	}
	if unread {
		return &failure{code: exitData}
	}
	return nil
}

// measure returns the girths of the mesh in a file, or of all in an archive, and
// why some cannot be read.
func (c *girthsCmd) measure(ctx context.Context, f *folder, path string) (all []*analysis.Girths, refused []error) {
	relative, err := filepath.Rel(f.root, path)
	if err != nil {
		return nil, []error{err}
	}
	place := disk.Place{Root: f.root, Part: filepath.ToSlash(relative)}
	file, err := mesh.Open(path)
	if err != nil {
		return nil, []error{err}
	}
	defer file.Close()
	if !file.Archive() {
		g, err := analysis.GirthsOf(ctx, file, f.asked.Brief(place.Name()), c.Every, mesh.DefaultLimits())
		if err != nil {
			return nil, []error{err}
		}
		return []*analysis.Girths{g}, nil
	}
	members, err := file.Members(ctx)
	if err != nil {
		return nil, []error{err}
	}
	for _, m := range members {
		loaded, err := file.LoadMember(ctx, m.Name, mesh.DefaultLimits())
		if err != nil {
			refused = append(refused, err)
			continue
		}
		place.Member = m.Name
		g, err := analysis.GirthsOfMesh(ctx, loaded, f.asked.Brief(place.Name()), c.Every)
		if err != nil {
			return nil, []error{err}
		}
		all = append(all, g)
	}
	return all, refused
}

// say prints girths: a line of JSON, or a table to read.
func (c *girthsCmd) say(out *console, g *analysis.Girths) error {
	if c.JSON {
		return printJSON(out.out, g)
	}
	unit := ""
	if g.Unit.Factor != 1 {
		unit = ", drawn in " + g.Unit.Name
	}
	say(out.out, "%s at %s %%%s: %.1f mm high as it lies", g.Part, trim(g.Percent), unit, g.Height)
	say(out.out, "  %9s  %9s  %9s   %s", "height", "outside", "inside", "wide × deep (all mm)")
	for _, level := range g.Levels {
		height := fmt.Sprintf("%.1f", level.Up)
		for _, line := range columns(level.Loops) {
			say(out.out, "  %9s  %s", height, line)
			height = ""
		}
	}
	return nil
}

// mostLoops is how many loops of a level, and holes of a loop, are told one by
// one: two legs and something beside them.
const mostLoops = 3

// columns says what is found at a level, in columns.
func columns(loops []analysis.GirthLoop) []string {
	if len(loops) == 0 {
		return []string{"        –          –   nothing at this height"}
	}
	var out []string
	for _, loop := range loops[:min(len(loops), mostLoops)] {
		inside := slices.Clone(loop.Inside[:min(len(loop.Inside), mostLoops)])
		first := "        –"
		if len(inside) > 0 {
			first, inside = fmt.Sprintf("%9.1f", inside[0]), inside[1:]
		}
		line := fmt.Sprintf("%9.1f  %s   %.1f × %.1f", loop.Girth, first, loop.Size[0], loop.Size[1])
		if loop.Open > 0 {
			line += fmt.Sprintf(", a single wall, open for %.1f", loop.Open)
		}
		out = append(out, line)
		for _, hole := range inside {
			out = append(out, fmt.Sprintf("%9s  %9.1f", "", hole))
		}
		if more := len(loop.Inside) - mostLoops; more > 0 {
			out = append(out, fmt.Sprintf("%9s  %9s   and %s", "", "", things(more, "smaller hole")))
		}
	}
	if more := len(loops) - mostLoops; more > 0 {
		out = append(out, strings.Repeat(" ", 22)+"   and "+things(more, "smaller loop"))
	}
	return out
}
