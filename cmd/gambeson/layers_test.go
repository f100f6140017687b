package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// floors is the drawing of the house: for each package, the packages of ours
// it may import. Arrows only point down. Change the code to fit the drawing;
// a change of the drawing needs a reviewer.
var floors = map[string][]string{
	"cmd/gambeson":            {"cmd/gambeson/machine", "cmd/gambeson/store", "watcher", "config", "report", "report/suit", "report/answer", "report/paper", "report/disk", "report/picture/solid", "analysis/suit", "analysis/suit/joint", "analysis", "analysis/assembly", "analysis/bed", "analysis/cost", "analysis/fit/guess", "analysis/mesh", "analysis/pages", "analysis/shape"},
	"cmd/gambeson/machine":    {"cmd/gambeson/store", "analysis/mesh"},
	"cmd/gambeson/store":      {},
	"watcher":                 {},
	"config":                  {"analysis"},
	"report":                  {"report/drawing", "report/step", "report/answer", "report/paper", "report/disk", "report/words", "analysis", "analysis/mesh"},
	"report/suit":             {"report/bend", "report/answer", "report/paper", "report/disk", "report/words", "report/picture", "analysis/suit", "analysis/suit/joint", "analysis", "analysis/mesh"},
	"report/bend":             {"report/disk", "report/picture/outline", "report/words", "analysis", "analysis/suit/joint"},
	"report/drawing":          {"report/answer", "report/picture", "report/picture/chart", "report/picture/outline", "report/picture/solid", "report/picture/tape", "report/words", "analysis", "analysis/mesh"},
	"report/step":             {"report/answer", "report/paper", "report/disk", "report/words", "analysis"},
	"report/answer":           {"report/words", "analysis"},
	"report/paper":            {"report/disk", "report/words", "analysis"},
	"report/disk":             {"report/words", "analysis/mesh"},
	"report/words":            {"analysis"},
	"report/sample":           {"report/words", "analysis", "analysis/mesh"}, // for tests
	"report/picture/chart":    {"report/picture"},
	"report/picture/outline":  {"report/picture", "analysis"},
	"report/picture/solid":    {"report/picture", "analysis/mesh", "analysis/pages"},
	"report/picture/tape":     {"report/picture"},
	"report/picture/proof":    {"report/picture", "analysis/shape/speed"}, // for tests
	"report/picture":          {"analysis/pages"},
	"analysis/suit":           {"analysis", "analysis/bed", "analysis/likeness"},
	"analysis":                {"analysis/assembly", "analysis/fit", "analysis/fit/guess", "analysis/fit/survey", "analysis/bed", "analysis/bed/parting", "analysis/bed/pin", "analysis/band", "analysis/cost", "analysis/tryon", "analysis/likeness", "analysis/cavity", "analysis/cavity/room", "analysis/section", "analysis/mesh"},
	"analysis/fit":            {"analysis/fit/survey", "analysis/cavity", "analysis/cavity/room", "analysis/section", "analysis/mesh"},
	"analysis/fit/guess":      {"analysis/fit/survey"},
	"analysis/fit/survey":     {},
	"analysis/fit/survey/gen": {"analysis/fit/survey"}, // run by hand, makes survey's summary
	"analysis/bed":            {"analysis/bed/hull", "analysis/bed/tilt", "analysis/bed/parting", "analysis/section", "analysis/mesh"},
	"analysis/bed/hull":       {"analysis/pages", "analysis/section", "analysis/mesh"},
	"analysis/bed/tilt":       {"analysis/bed/hull", "analysis/mesh"},
	"analysis/bed/parting":    {"analysis/bed/hull", "analysis/bed/frame", "analysis/bed/pin", "analysis/section", "analysis/mesh"},
	"analysis/bed/frame":      {"analysis/bed/hull", "analysis/section", "analysis/mesh"},
	"analysis/bed/pin":        {"analysis/section", "analysis/mesh"},
	"analysis/band":           {"analysis/cavity", "analysis/section", "analysis/mesh"},
	"analysis/cost":           {"analysis/section", "analysis/mesh"},
	"analysis/tryon":          {},
	"analysis/likeness":       {"analysis/section", "analysis/mesh"},
	"analysis/cavity":         {"analysis/cavity/grid", "analysis/cavity/room", "analysis/cavity/void", "analysis/section", "analysis/mesh"},
	"analysis/assembly":       {"analysis/mesh"},
	"analysis/cavity/grid":    {"analysis/mesh"},
	"analysis/cavity/room":    {},
	"analysis/cavity/void":    {},
	"analysis/section":        {"analysis/pages", "analysis/mesh"},
	"analysis/suit/joint":     {"analysis", "analysis/fit/survey"},
	"analysis/shape":          {"analysis/mesh"},
	"analysis/shape/pose":     {"analysis/shape", "analysis/mesh"}, // for tests
	"analysis/shape/speed":    {"analysis/shape", "analysis/mesh"}, // for benchmarks
	"analysis/mesh":           {"analysis/pages"},
	"analysis/pages":          {},
}

// opens lists the packages of analysis that may open files.
var opens = []string{"analysis/mesh", "analysis/fit/survey/gen", "analysis/shape/speed"}

// kept says, for packages with a rule of absence, which foreign imports they
// must not have.
var kept = map[string][]string{
	"analysis":             {"github.com/rs/zerolog", "github.com/fsnotify/fsnotify", "os", "io/ioutil"},
	"watcher":              {"github.com/rs/zerolog"},
	"cmd/gambeson/machine": {"github.com/rs/zerolog", "github.com/fsnotify/fsnotify"},
	"cmd/gambeson/store":   {"github.com/rs/zerolog", "github.com/fsnotify/fsnotify"},
	"config":               {"github.com/rs/zerolog", "github.com/fsnotify/fsnotify"},
	"report":               {"github.com/rs/zerolog", "github.com/fsnotify/fsnotify"},
}

const root = "../.."

func TestArrowsOnlyPointDown(t *testing.T) {
	for folder, imports := range importsByFolder(t, false) {
		allowed, drawn := floors[folder]
		if !drawn {
			t.Errorf("%s is not in the drawing", folder)
			continue
		}
		for _, path := range imports {
			if below, ours := strings.CutPrefix(path, "gambeson/"); ours && !slices.Contains(allowed, below) {
				t.Errorf("%s imports %s, which the drawing does not allow", folder, below)
			}
		}
	}
}

func TestAbsences(t *testing.T) {
	for folder, imports := range importsByFolder(t, false) {
		for room, banned := range kept {
			if folder != room && !strings.HasPrefix(folder, room+"/") {
				continue
			}
			for _, path := range imports {
				if slices.Contains(banned, path) && !(path == "os" && slices.Contains(opens, folder)) {
					t.Errorf("%s imports %s, which it must not", folder, path)
				}
			}
		}
	}
}

func TestTopLevelHoldsNothingElse(t *testing.T) {
	entries, err := filepath.Glob(filepath.Join(root, "*"))
	require.NoError(t, err)
	for _, e := range entries {
		switch name := filepath.Base(e); name {
		case "cmd", "watcher", "analysis", "report", "config", "testdata", "go.mod", "go.sum", "README.md", "DEVELOPERS.md":
		case "gambeson-demo": // what the README's first command writes; it is kept out of the repo
			ignored, err := os.ReadFile(filepath.Join(root, ".gitignore"))
			require.NoError(t, err)
			require.Contains(t, strings.Split(string(ignored), "\n"), "/gambeson-demo/")
		default:
			if !strings.HasPrefix(name, ".") {
				t.Errorf("%s lies at the top level", name)
			}
		}
	}
}

// importsByFolder reads the import lines of every Go file of the repo by
// folder. It reads the sources itself, so that the test cache sees what the
// answer depends on.
func importsByFolder(t *testing.T, tests bool) map[string][]string {
	t.Helper()
	found := map[string][]string{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && d.Name() != ".." && strings.HasPrefix(d.Name(), ".") {
			if d != nil && d.IsDir() {
				return filepath.SkipDir
			}
			return err
		}
		if d.IsDir() || filepath.Ext(path) != ".go" || !tests && strings.HasSuffix(path, "_test.go") {
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		relative, err := filepath.Rel(root, filepath.Dir(path))
		folder := filepath.ToSlash(relative)
		for _, i := range file.Imports {
			found[folder] = append(found[folder], strings.Trim(i.Path.Value, `"`))
		}
		if found[folder] == nil {
			found[folder] = []string{}
		}
		return err
	})
	require.NoError(t, err)
	if len(found) < 8 {
		t.Fatalf("only %d folders read: %v", len(found), found)
	}
	return found
}
