package main

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// packed is a zip of one entry.
func packed(t *testing.T, name string, body []byte) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.Create(name)
	require.NoError(t, err)
	_, err = w.Write(body)
	require.NoError(t, err)
	require.NoError(t, z.Close())
	return b.Bytes()
}

const modelStart = `<?xml version="1.0" encoding="UTF-8"?><model unit="millimeter" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">`

// composed is a 3MF model in which each of n objects is twice the one before:
// 2ⁿ facets from a few hundred bytes.
func composed(n int) string {
	var b strings.Builder
	b.WriteString(modelStart + `<resources><object id="1"><mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="9" y="0" z="0"/><vertex x="0" y="9" z="0"/></vertices><triangles><triangle v1="0" v2="1" v3="2"/></triangles></mesh></object>`)
	for i := 2; i <= n; i++ {
		fmt.Fprintf(&b, `<object id="%d"><components><component objectid="%d"/><component objectid="%d"/></components></object>`, i, i-1, i-1)
	}
	fmt.Fprintf(&b, `</resources><build><item objectid="%d"/></build></model>`, n)
	return b.String()
}

// hostile are files made to take all memory or all time, with a word of what is
// to be said of each.
func hostile(t *testing.T) map[string]struct {
	body []byte
	says string
} {
	claims := make([]byte, 84+2*50)
	binary.LittleEndian.PutUint32(claims[80:], 4_000_000_000)
	var entries bytes.Buffer
	z := zip.NewWriter(&entries)
	for i := range 3000 {
		_, err := z.Create(fmt.Sprintf("p%d.stl", i))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	type file = struct {
		body []byte
		says string
	}
	return map[string]file{
		"claims.zip":         {packed(t, "a.stl", claims), "4 000 000 000"},
		"bomb.zip":           {packed(t, "a.stl", append([]byte("solid x\n"), bytes.Repeat([]byte(" "), 100<<20)...)), "times its packed size"},
		"entries.zip":        {entries.Bytes(), "3000 entries"},
		"deep.3mf":           {packed(t, "3D/3dmodel.model", []byte(modelStart+strings.Repeat("<a>", 200_000))), "deep"},
		"entities.3mf":       {packed(t, "3D/3dmodel.model", []byte(`<?xml version="1.0"?><!DOCTYPE m [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;">]><model>&b;</model>`)), "DOCTYPE"},
		"composed.3mf":       {packed(t, "3D/3dmodel.model", []byte(composed(40))), "more than"},
		"nested.3mf":         {packed(t, "3D/3dmodel.model", []byte(composed(5000))), "nested"},
		"line.stl":           {[]byte("solid x\nfacet normal " + strings.Repeat("1", 3<<20) + "\nendsolid x\n"), ""},
		"line.obj":           {[]byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 " + strings.Repeat("3 ", 1<<20) + "\n"), ""},
		"inner.zip":          {packed(t, "inner.zip", packed(t, "a.stl", []byte("x"))), "zip inside a zip"},
		"slip.zip":           {packed(t, "../../slipped.stl", []byte("x")), "leads out of the archive"},
		"locked \x1b[2J.stl": {[]byte("no mesh"), "not a mesh"},
	}
}

// Files made to take all memory or all time each get a report that says why
// they are not read. The daemon goes on, and takes less than 700 MB.
func TestHostileFiles(t *testing.T) {
	own, suit := t.TempDir(), filepath.Join(t.TempDir(), "suit")
	require.NoError(t, os.Mkdir(suit, 0o777))
	files := hostile(t)
	for name, f := range files {
		require.NoError(t, os.WriteFile(filepath.Join(suit, name), f.body, 0o666))
	}
	require.NoError(t, os.WriteFile(filepath.Join(suit, "suit.toml"), []byte("a"+strings.Repeat(".a", 30_000)+" = 1\n"), 0o666))
	tube(t, filepath.Join(suit, "good.stl"), 12)
	command, log := daemonIn(t, own, nil, suit, "--log=json")
	for name, f := range files {
		until(t, name, func() bool {
			said := spaced.ReplaceAllString(string(contentOf(filepath.Join(suit, name+".md"))), " ")
			return said != "" && strings.Contains(said, f.says)
		})
	}
	until(t, "the good one", func() bool {
		return strings.Contains(string(contentOf(filepath.Join(suit, "good.stl.md"))), "Inside at 100 %")
	})
	until(t, "SUIT.md", func() bool { return strings.Contains(string(contentOf(filepath.Join(suit, "SUIT.md"))), "suit.toml") })
	peak := regexp.MustCompile(`VmHWM:\s+(\d+) kB`).FindStringSubmatch(string(contentOf(fmt.Sprintf("/proc/%d/status", command.Process.Pid))))
	require.Len(t, peak, 2)
	kb, err := strconv.Atoi(peak[1])
	require.NoError(t, err)
	t.Logf("%d MB at most", kb>>10)
	if kb > 700<<10 {
		t.Errorf("it took %d MB", kb>>10)
	}
	require.NoError(t, command.Process.Signal(syscall.SIGTERM))
	require.NoError(t, command.Wait())
	require.NotContains(t, log.String(), "\x1b")
	if _, err := os.Stat(filepath.Join(filepath.Dir(suit), "slipped.stl")); err == nil {
		t.Error("an entry was written outside")
	}
}

// spaced are the blanks of any width that numbers and words are set apart by.
var spaced = regexp.MustCompile(`[\s\x{00a0}\x{202f}\x{2009}]`)
