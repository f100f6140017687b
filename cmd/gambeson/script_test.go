package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"github.com/adrg/xdg"
	"github.com/rogpeppe/go-internal/testscript"
	"gonum.org/v1/gonum/spatial/r3"
)

func TestMain(m *testing.M) {
	testscript.Main(apart{m}, map[string]func(){"gambeson": main})
}

// apart runs the tests apart from the account's own folders.
type apart struct{ m *testing.M }

func (a apart) Run() int {
	dir, err := os.MkdirTemp("", "gambeson-test")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	if cache, err := os.UserCacheDir(); err == nil && os.Getenv("GOCACHE") == "" {
		os.Setenv("GOCACHE", filepath.Join(cache, "go-build")) // what was built stays built
	}
	for _, name := range []string{"XDG_STATE_HOME", "XDG_RUNTIME_DIR", "XDG_CACHE_HOME"} {
		if err := os.Setenv(name, filepath.Join(dir, name)); err != nil {
			panic(err)
		}
	}
	xdg.Reload()
	return a.m.Run()
}

// Each script in testdata/scripts holds one promise to the user.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: filepath.Join(root, "testdata", "scripts"),
		Setup: func(env *testscript.Env) error {
			for _, name := range []string{"XDG_STATE_HOME", "XDG_RUNTIME_DIR", "XDG_CACHE_HOME"} {
				dir := filepath.Join(env.WorkDir, ".own", name)
				if err := os.MkdirAll(dir, 0o700); err != nil {
					return err
				}
				env.Setenv(name, dir)
			}
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"draw": draw, "await": await, "same": same, "cut": cut, "exit": exit, "whole": whole, "asone": asOne,
		},
	})
}

// draw FILE KIND [PERCENT [TURN]] draws a shape into a file, in the format of
// its extension, turned about the vertical by TURN degrees.
func draw(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: draw FILE KIND [PERCENT [TURN]]")
	}
	kinds := map[string]func() *mesh.Mesh{
		"tube":  func() *mesh.Mesh { return shape.Tube{Sides: 64, Radius: 50, Wall: 3, Height: 80}.Mesh() },
		"taper": func() *mesh.Mesh { return lowTaper().Mesh() },
		"arms": func() *mesh.Mesh {
			arm := shape.Tube{Sides: 64, Radius: 50, Wall: 3, Height: 80}.Mesh()
			return shape.Join(arm, shape.Offset(arm, r3.Vec{X: 130}))
		},
		"bar":   func() *mesh.Mesh { return shape.Bar{X: 300, Y: 20, Z: 10}.Mesh() },
		"upper": func() *mesh.Mesh { upper, _ := taperInTwo(); return upper },
		"greave": func() *mesh.Mesh {
			g := demoGreave()
			g.Sides = 64
			return ahead(g.Mesh())
		},
		"mirrored": func() *mesh.Mesh {
			g := demoGreave()
			g.Sides = 64
			return shape.Mirror(ahead(g.Mesh()))
		},
		"lower": func() *mesh.Mesh { _, lower := taperInTwo(); return lower },
	}
	m := kinds[args[1]]()
	if len(args) > 2 {
		percent, err := strconv.ParseFloat(args[2], 64)
		ts.Check(err)
		m = m.Scaled(percent / 100)
	}
	if len(args) > 3 {
		degrees, err := strconv.ParseFloat(args[3], 64)
		ts.Check(err)
		m = m.Map(r3.NewRotation(degrees*3.141592653589793/180, r3.Vec{X: 1, Y: 2, Z: 3}).Rotate)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), encode(ts, args[0], m), 0o666))
}

// lowTaper is taper with fewer sides and less height, to be looked into often.
func lowTaper() shape.Taper {
	t := taper()
	t.Sides, t.Height = 64, 100
	return t
}

// taperInTwo is lowTaper cut across, as a download in pieces is.
func taperInTwo() (upper, lower *mesh.Mesh) {
	upper, lower, _ = section.Halves(lowTaper().Mesh(), section.Plane{Point: r3.Vec{Z: 60}, Normal: r3.Vec{Z: 1}})
	return upper, lower
}

// taper is a two-walled elliptical tube whose inner half-axes go from 60 × 48
// to 50 × 40 mm.
func taper() shape.Taper {
	return shape.Taper{Sides: 256, Rows: 1, Bottom: shape.Ellipse{A: 60, B: 48}, Top: shape.Ellipse{A: 50, B: 40}, Wall: 3, Height: 240}
}

func encode(ts *testscript.TestScript, file string, m *mesh.Mesh) []byte {
	var b bytes.Buffer
	var err error
	switch name := filepath.Base(file); {
	case strings.HasPrefix(name, "ascii-"):
		err = shape.WriteASCII(&b, m, "drawn")
	case strings.HasSuffix(name, ".obj"):
		err = shape.WriteOBJ(&b, m)
	case strings.HasSuffix(name, "-inch.3mf"):
		err = shape.Write3MF(&b, m.Scaled(1/inch), "inch")
	case strings.HasSuffix(name, ".3mf"):
		err = shape.Write3MF(&b, m, "millimeter")
	default:
		err = mesh.WriteSTL(&b, m, "drawn")
	}
	ts.Check(err)
	return b.Bytes()
}

// await FILE TEXT waits until a file is there and holds the text (with !,
// until it does not). It looks often and gives up after five minutes, which the race detector may want.
func await(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: [!] await FILE TEXT")
	}
	look := time.NewTicker(20 * time.Millisecond)
	defer look.Stop()
	giveUp := time.After(5 * time.Minute)
	for {
		text, err := os.ReadFile(ts.MkAbs(args[0]))
		if err == nil && bytes.Contains(text, []byte(args[1])) != neg {
			return
		}
		select {
		case <-look.C:
		case <-giveUp:
			ts.Fatalf("%s did not come to hold %q within five minutes (%v):\n%s", args[0], args[1], err, text)
		}
	}
}

// same FILE... compares each file with what it was when same was last called.
func same(ts *testscript.TestScript, neg bool, args []string) {
	for _, name := range args {
		path := ts.MkAbs(name)
		text, err := os.ReadFile(path)
		ts.Check(err)
		info, err := os.Stat(path)
		ts.Check(err)
		now := fmt.Sprintf("%x %s", text, info.ModTime().Format(time.RFC3339Nano))
		copyOf := filepath.Join(ts.Getenv("WORK"), ".own", strings.ReplaceAll(name, "/", "_")+".was")
		if before, err := os.ReadFile(copyOf); err == nil && (string(before) == now) == neg {
			ts.Fatalf("%s: unchanged is %v", name, !neg)
		}
		ts.Check(os.WriteFile(copyOf, []byte(now), 0o666))
	}
}

// asone WHOLE PIECE... compares what lies inside a part with what does inside
// its pieces.
func asOne(ts *testscript.TestScript, neg bool, args []string) {
	read := func(name string) (f analysis.Findings) {
		text, err := os.ReadFile(ts.MkAbs(name + ".fit/findings.json"))
		ts.Check(err)
		ts.Check(json.Unmarshal(text, &f))
		return f
	}
	want := read(args[0])
	for _, name := range args[1:] {
		got := read(name)
		if len(got.Cavities) != len(want.Cavities) || len(got.Cavities[0].Openings) != len(want.Cavities[0].Openings) {
			ts.Fatalf("%s has not the openings of %s", name, args[0])
		}
		for i, o := range want.Cavities[0].Openings {
			if g := got.Cavities[0].Openings[i]; math.Abs(g.Girth/o.Girth-1) > 0.001 {
				ts.Fatalf("%s: opening %s of %.2f mm, want %.2f", name, o.Name, g.Girth, o.Girth)
			}
		}
		if got.Mesh.Volume >= want.Mesh.Volume {
			ts.Fatalf("%s is described as the whole", name)
		}
	}
}

// cut FILE BYTES cuts a file to so many bytes; negative ones from its end.
func cut(ts *testscript.TestScript, neg bool, args []string) {
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	path := ts.MkAbs(args[0])
	if n < 0 {
		info, err := os.Stat(path)
		ts.Check(err)
		n += int(info.Size())
	}
	ts.Check(os.Truncate(path, int64(n)))
}

// exit CODE COMMAND... runs gambeson and expects that exit code.
func exit(ts *testscript.TestScript, neg bool, args []string) {
	err := ts.Exec(args[1], args[2:]...)
	code := "0"
	if err != nil {
		code = strings.TrimPrefix(err.Error(), "exit status ")
	}
	if code != args[0] {
		ts.Fatalf("%v: exit %s, want %s", args[1:], code, args[0])
	}
}

// whole DIR looks through all that gambeson wrote below a folder: every report
// ends with its notes mark, every picture, findings and band is complete.
func whole(ts *testscript.TestScript, neg bool, args []string) {
	err := filepath.WalkDir(ts.MkAbs(args[0]), func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		ts.Check(err)
		ok := true
		switch filepath.Ext(path) {
		case ".md":
			ok = bytes.Contains(text, []byte("everything below this line is yours"))
		case ".json":
			ok = json.Valid(text)
		case ".png":
			ok = bytes.HasSuffix(text, []byte("IEND\xaeB`\x82"))
		case ".stl":
			ok = len(text) == 84+50*int(binary.LittleEndian.Uint32(text[80:]))
		}
		if !ok {
			ts.Fatalf("%s is half-written", path)
		}
		return nil
	})
	ts.Check(err)
}
