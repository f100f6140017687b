package main

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"

	"gambeson/analysis"
	"gambeson/analysis/bed"
	"gambeson/analysis/mesh"
	"gambeson/cmd/gambeson/store"
	"gambeson/config"
	"gambeson/report/disk"
	"gambeson/report/picture/solid"
	"gambeson/report/suit"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

type loadsCmd struct {
	Parts bool `help:"Lay out the parts themselves too, in pieces where they must be."`

	Dir string `arg:"" help:"The suit folder, looked into before by check or watch."`
}

func (c *loadsCmd) Help() string {
	return `All test bands of the suit go on as few beds as they fit, small ones inside large ones; the bands of a shell in several files go on once. Each load is one mesh in SUIT.fit/loads, with a picture of the bed from above; what lies where is said here. A load is taken away when something on it is cut anew or gone, or the bed is another; SUIT.md says so: lay it out again then. With --parts the parts follow on beds of their own, each as its report lays it.

Exit status: 0 all laid out, 1 something is too large for the bed, 66 no such folder or no bands in it, 73 the loads cannot be written, 78 a TOML file is broken.`
}

// item is something to be laid out.
type item struct {
	name string // the file, relative to the suit folder
	is   string // what it is: see laidOf
	mesh *mesh.Mesh
}

// laidOf tells a file of the suit, a band or a piece, by its content: "" where there is
// none.
func (f *folder) laidOf(ctx context.Context, name string) string {
	file, err := mesh.Open(f.path(name))
	if err != nil {
		return ""
	}
	defer file.Close()
	sum, err := file.Sum(ctx)
	if err != nil {
		return ""
	}
	return hex.EncodeToString(sum[:])
}

// laidWhole tells a part that is laid out whole by its mesh, its scale and how it lies.
func laidWhole(a *analysis.Findings) string {
	lies, err := json.Marshal([]any{a.Percent, a.Bed.Placement})
	if err != nil {
		return ""
	}
	is := digestBytes([]byte(lookOf(a)), lies)
	return hex.EncodeToString(is[:])
}

// bedOf names the bed that loads are laid out for.
func bedOf(p analysis.Printer) string { return fmt.Sprintf("%v, %v mm apart", p.Volume(), p.Gap()) }

// dropLoads takes away the bed loads that would print what no longer holds, and returns
// all that were since they were laid out.
func (f *folder) dropLoads(rows []*row) suit.Dropped {
	whole := map[string]*analysis.Findings{}
	for _, r := range rows {
		if r.Refusal == nil && r.Findings != nil && r.Findings.Bed != nil {
			whole[r.Place.Name()] = r.Findings
		}
	}
	just, dropped, err := suit.DropLoads(f.root, bedOf(f.asked.Brief("").Printer), func(name string) string {
		if a, is := whole[name]; is {
			return laidWhole(a)
		}
		return f.laidOf(context.Background(), name) // a band is read in a moment
	})
	if err != nil {
		f.log.Warn().Str("event", "write_failed").Str("file", "SUIT.fit/loads").Err(err).Msg("cannot take away bed loads that hold no more")
	}
	if len(just) > 0 {
		f.log.Warn().Str("event", "loads_gone").Strs("files", just).Msg("bed loads that would print what no longer holds were taken away; lay them out again with gambeson loads")
	}
	return dropped
}

// Run lays the test bands of a suit out on beds and writes a mesh for each bed.
func (c *loadsCmd) Run(ctx context.Context, out *console) error {
	if info, err := os.Stat(c.Dir); err != nil || !info.IsDir() {
		return fail(exitNoInput, "no such folder: %s", c.Dir)
	}
	dir, err := filepath.Abs(c.Dir)
	if err != nil {
		return err
	}
	f := newFolder(config.Root(dir), runtime.GOMAXPROCS(0), out.log.Level(max(out.log.GetLevel(), errorLevel)))
	if len(f.kept) > 0 {
		return fail(exitConfig, "%s; nothing was laid out", f.kept[0].Errs.Error())
	}
	bands, parts, err := f.items(ctx, c.Parts)
	if err != nil {
		return err
	}
	if len(bands)+len(parts) == 0 {
		return fail(exitNoInput, "there is no test band below %s; say gambeson check %s first", c.Dir, c.Dir)
	}
	return f.lay(out, bands, parts)
}

// items reads the test bands that the reports of the suit name, in the order of
// the parts, and, where asked, the parts or their pieces.
func (f *folder) items(ctx context.Context, withParts bool) (bands, parts []item, err error) {
	all, err := f.parts(f.root)
	if err != nil {
		return nil, nil, fail(exitNoInput, "cannot look into the folder: %w", err)
	}
	for _, part := range all {
		f.recallFile(part)
	}
	laid := map[string]bool{} // bands of shells in several files, each of which has them
	for _, row := range f.allRows() {
		if row.Refusal != nil {
			continue
		}
		for _, band := range row.Findings.Bands {
			if a := row.Findings.Assembly; a != nil && a.Name != "" {
				same := a.Name + "/" + path.Base(band.File)
				if laid[same] {
					continue
				}
				laid[same] = true
			}
			if bands, err = f.addFile(ctx, bands, band.File); err != nil {
				return nil, nil, err
			}
		}
		if b := row.Findings.Bed; withParts && b != nil {
			if parts, err = f.addPart(ctx, parts, row.Row); err != nil {
				return nil, nil, err
			}
		}
	}
	return bands, parts, nil
}

// addPart adds a part as it lies best, or its pieces.
func (f *folder) addPart(ctx context.Context, items []item, row suit.Row) ([]item, error) {
	b := row.Findings.Bed
	var err error
	for _, piece := range b.Pieces {
		if items, err = f.addFile(ctx, items, piece.File); err != nil {
			return nil, err
		}
	}
	if len(b.Pieces) > 0 {
		return items, nil
	}
	loaded, err := f.load(ctx, row.Place)
	if err != nil {
		return nil, fail(exitNoInput, "%s cannot be read: %w", row.Place.Name(), err)
	}
	brief := f.asked.Brief(row.Place.Name())
	brief.Percent = row.Findings.Percent
	return append(items, item{row.Place.Name(), laidWhole(row.Findings), b.Placement.Lay(loaded, brief)}), nil
}

// addFile adds a mesh of ours.
func (f *folder) addFile(ctx context.Context, items []item, name string) ([]item, error) {
	is := f.laidOf(ctx, name) // before it is read: what changes meanwhile counts as changed
	loaded, err := f.load(ctx, disk.Place{Part: name})
	if err != nil {
		return nil, fail(exitNoInput, "%s cannot be read: %w; say gambeson check first", name, err)
	}
	return append(items, item{name, is, loaded.Mesh}), nil
}

// load reads a mesh of the folder.
func (f *folder) load(ctx context.Context, p disk.Place) (*mesh.Loaded, error) {
	file, err := mesh.Open(filepath.Join(f.root, filepath.FromSlash(p.Part)))
	if err != nil {
		return nil, err
	}
	defer file.Close()
	if p.Member != "" {
		return file.LoadMember(ctx, p.Member, mesh.DefaultLimits())
	}
	return file.Load(ctx, mesh.DefaultLimits())
}

// lay lays the bands out and then the parts, writes the loads and says what lies
// where.
func (f *folder) lay(out *console, bands, parts []item) error {
	p := f.asked.Brief("").Printer
	all := slices.Concat(bands, parts)
	var prints []bed.Footprint
	for i, it := range all {
		seen := bed.FootprintOf(it.mesh)
		if i >= len(bands) {
			seen = seen.Filled()
		}
		prints = append(prints, seen)
	}
	loads, left := bed.Loads(prints[:len(bands)], p.Volume(), p.Gap())
	more, leftParts := bed.Loads(prints[len(bands):], p.Volume(), p.Gap())
	for _, l := range more {
		for k := range l.Spots {
			l.Spots[k].Item += len(bands)
		}
	}
	for _, i := range leftParts {
		left = append(left, len(bands)+i)
	}
	loads = append(loads, more...)
	var written []suit.Load
	for i, l := range loads {
		written = append(written, drawLoad(fmt.Sprintf("Load %d of %d", i+1, len(loads)), p, l, all))
	}
	missed := suit.LoadsMissed(f.root)
	names, err := suit.WriteLoads(f.root, bedOf(p), written)
	if err != nil {
		return fail(exitCannot, "%w", err)
	}
	if missed {
		f.sayLaid()
	}
	say(out.out, "%s on %s, %.1f mm apart.", things(len(all)-len(left), "file"), things(len(loads), "bed load"), p.Gap())
	for i, l := range loads {
		say(out.out, "%s", names[i])
		for k, s := range l.Spots {
			say(out.out, "  %d  %s: %s", k+1, all[s.Item].name, where(p, l, k))
		}
	}
	for _, i := range left {
		fmt.Fprintln(out.err, printable(all[i].name+": too large for the bed as it lies"))
	}
	if len(left) > 0 {
		return &failure{code: exitWarning}
	}
	return nil
}

// sayLaid has SUIT.md no longer say that bed loads were taken away. A folder that another
// process holds is left to that.
func (f *folder) sayLaid() {
	lock, _, err := store.Take(f.root, "loads")
	if err != nil {
		return
	}
	defer lock.Release()
	f.markOrphans()
	if _, err := f.sum(); err != nil {
		f.log.Warn().Str("event", "write_failed").Str("file", disk.SuitName).Err(err).Msg("cannot say that the bed loads are laid out again")
	}
}

// drawLoad puts the parts of a load on the bed.
func drawLoad(title string, p analysis.Printer, l bed.Load, items []item) suit.Load {
	b := solid.Bed{Title: title, Width: p.Bed[0], Depth: p.Bed[1], Height: p.Height, Margin: p.Margin, Strips: p.Strips, Numbered: true}
	if p.Diameter > 0 {
		b.Width, b.Depth, b.Round = p.Diameter, p.Diameter, true
	}
	var of []suit.Laid
	for _, s := range l.Spots {
		m := s.Put(items[s.Item].mesh).Map(func(q r3.Vec) r3.Vec { return r3.Add(q, r3.Vec{X: p.Margin, Y: p.Margin}) })
		b.Part = append(b.Part, m)
		of = append(of, suit.Laid{Name: items[s.Item].name, Is: items[s.Item].is})
	}
	return suit.Load{Mesh: mesh.Join(b.Part...), Map: solid.OnBed(b), Of: of}
}

// where says where a part of a load lies on the bed.
func where(p analysis.Printer, l bed.Load, k int) string {
	box := l.Spots[k].Box
	wide, deep := p.Bed[0], p.Bed[1]
	if p.Diameter > 0 {
		wide, deep = p.Diameter, p.Diameter
	}
	middle := r2.Add(box.Center(), r2.Vec{X: p.Margin, Y: p.Margin})
	third := func(x, of float64, low, mid, high string) string {
		switch {
		case x < of/3:
			return low
		case x > of*2/3:
			return high
		}
		return mid
	}
	text := third(middle.Y, deep, "front", "middle", "back")
	if side := third(middle.X, wide, "left", "", "right"); side != "" {
		text += " " + side
	}
	text += fmt.Sprintf(", x %.0f to %.0f, y %.0f to %.0f mm", box.Min.X+p.Margin, box.Max.X+p.Margin, box.Min.Y+p.Margin, box.Max.Y+p.Margin)
	for i, s := range l.Spots {
		if o := s.Box; i != k && o.Min.X <= box.Min.X && o.Min.Y <= box.Min.Y && o.Max.X >= box.Max.X && o.Max.Y >= box.Max.Y {
			text += fmt.Sprintf(", within the outline of %d", i+1)
			break
		}
	}
	return text
}

func things(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
