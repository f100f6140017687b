package sample

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Golden compares a text with the one accepted in testdata. To accept a change, look at
// the .got file that it leaves beside the golden one and rename it.
func Golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	left := file + ".got"
	want, err := os.ReadFile(file)
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	if string(want) == got {
		os.Remove(left)
		return
	}
	require.NoError(t, os.WriteFile(left, []byte(got), 0o644))
	t.Errorf("%s differs (-golden +got); the new text is in %s\n%s", file, left, Difference(string(want), got))
}

// Difference shows the lines from the first to the last that differ.
func Difference(want, got string) string {
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	head := 0
	for head < len(a) && head < len(b) && a[head] == b[head] {
		head++
	}
	tail := 0
	for tail < len(a)-head && tail < len(b)-head && a[len(a)-1-tail] == b[len(b)-1-tail] {
		tail++
	}
	var out strings.Builder
	for _, line := range a[head : len(a)-tail] {
		fmt.Fprintf(&out, "-%s\n", line)
	}
	for _, line := range b[head : len(b)-tail] {
		fmt.Fprintf(&out, "+%s\n", line)
	}
	return out.String()
}
