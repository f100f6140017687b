package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gambeson/config"

	"github.com/stretchr/testify/require"
)

// The README's samples of suit.toml and wearer.toml are read without a fault.
func TestReadmeTOMLIsRead(t *testing.T) {
	dir := t.TempDir()
	readme := readFile(t, filepath.Join(root, "README.md"))
	for _, name := range []string{"suit.toml", "wearer.toml"} {
		_, after, found := strings.Cut(readme, "<!-- sample "+name+": a test reads it -->\n```toml\n")
		require.True(t, found, name)
		text, _, found := strings.Cut(after, "```")
		require.True(t, found, name)
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666))
	}
	folder, err := config.Load(dir)
	require.NoError(t, err)
	brief := folder.Brief("legs/greave-left.stl")
	heel, _ := brief.Wearer.Measure("heel_girth", "left")
	if brief.Percent != 107 || brief.Region.Name != "lower_leg" || heel != 331 {
		t.Errorf("read as %+v", brief)
	}
}

// The README's sample report is the top of the demo's own.
func TestReadmeReportIsTheDemos(t *testing.T) {
	ownFolders(t)
	dir := t.TempDir()
	for _, f := range demoSuit() {
		if f.Name == "legs/greave-left.stl" || strings.HasSuffix(f.Name, ".toml") {
			text, err := f.Bytes()
			require.NoError(t, err)
			path := filepath.Join(dir, filepath.FromSlash(f.Name))
			require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
			require.NoError(t, os.WriteFile(path, text, 0o666))
		}
	}
	var out, errs bytes.Buffer
	run(t.Context(), []string{"check", dir}, &out, &errs)
	want := top(readFile(t, filepath.Join(dir, "legs", "greave-left.stl.md")))

	_, after, found := strings.Cut(readFile(t, filepath.Join(root, "README.md")), "<!-- sample report: a test holds it against what the demo writes -->\n")
	require.True(t, found)
	got, _, found := strings.Cut(after, "<!-- end of sample -->")
	require.True(t, found)
	if got != want {
		t.Errorf("README.md has\n%s\nthe demo's report begins with\n%s", got, want)
	}
}

// top quotes a report from its answer to its first table, links made plain.
func top(report string) string {
	_, after, _ := strings.Cut(report, "# `legs/greave-left.stl`\n\n")
	text, _, _ := strings.Cut(after, "\n## Scale")
	text = regexp.MustCompile(`!\[[^]]*\]\([^)]*\)`).ReplaceAllString(text, "")
	text = regexp.MustCompile(`\[([^]]*)\]\([^)]*\)`).ReplaceAllString(text, "$1")
	var b strings.Builder
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		b.WriteString(strings.TrimRight("> "+strings.Replace(line, "## ", "**", 1)+map[bool]string{true: "**"}[strings.HasPrefix(line, "## ")], " "))
		b.WriteString("\n")
	}
	return b.String()
}

func readFile(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(text)
}
