package config

import (
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

var commentedKey = regexp.MustCompile(`(?m)^#([a-z\[])`)

// uncommented puts every key of a starter text in force.
func uncommented(text string) string { return commentedKey.ReplaceAllString(text, "$1") }

func TestStarterAsItIs(t *testing.T) {
	dir := t.TempDir()
	written, err := Start(dir)
	require.NoError(t, err)
	require.Equal(t, []string{"suit.toml", "wearer.toml", "logbook.toml"}, written)
	f, err := Load(dir)
	require.NoError(t, err)
	if !reflect.DeepEqual(f.Suit, defaultSuit()) || len(f.Wearer.Measures) > 0 || len(f.Logbook.Tryons) > 0 {
		t.Errorf("a starter file that says nothing sets %+v", f)
	}
}

func TestStarterUncommented(t *testing.T) {
	for _, file := range Starter() {
		text := uncommented(file.Text)
		switch file.Name {
		case suitFile:
			s, errs := readSuit([]byte(text))
			require.Empty(t, errs)
			// the values shown are those that hold anyhow
			want := defaultSuit()
			want.Shell.Asked = analysis.Asked{Padding: true, Ease: true, Loosest: true}
			if !reflect.DeepEqual(s.Printer, want.Printer) || s.Filament != want.Filament || s.Shell != want.Shell {
				t.Errorf("got %+v", s)
			}
			p := s.Parts[0].Pins
			v := reflect.ValueOf(p)
			for i := range v.NumField() {
				if v.Field(i).IsZero() {
					t.Errorf("the starter shows no key for %s", v.Type().Field(i).Name)
				}
			}
			require.Len(t, s.Assemblies, 1)
		case wearerFile:
			w, errs := readWearer([]byte(text))
			require.Empty(t, errs)
			require.Len(t, w.Measures, len(Measures()))
			require.NotZero(t, w.Weight)
		case logbookFile:
			l, errs := readLogbook([]byte(text))
			require.Empty(t, errs)
			require.Equal(t, "calf_girth", l.Tryons[0].Station)
			require.NotZero(t, l.Printed[0].Grams)
		}
	}
}

// Every key that is read stands in the starter file with a remark behind it, or,
// for those that name files, above it.
func TestStarterShowsEveryKey(t *testing.T) {
	var s Suit
	var l Logbook
	for _, file := range []struct {
		name, text string
		read       func(*table)
	}{{suitFile, starterSuit, s.read}, {logbookFile, starterLogbook, l.read}} {
		_, top := open(file.name, []byte(uncommented(file.text)))
		require.NotNil(t, top)
		file.read(top)
		for _, table := range top.file.tables {
			for _, key := range table.asked {
				shown := regexp.MustCompile(`(?m)^#` + key + ` += .* # \w|^#\[+` + key + `\]+$|write ` + key + ` = `)
				files := key == "file" || key == "files" || key == "name"
				if !files && !shown.MatchString(file.text) {
					t.Errorf("%s does not explain %s", file.name, table.full(key))
				}
			}
		}
	}
	for _, m := range Measures() {
		if !strings.Contains(starterWearer(), "\n#"+m.Name+" = ") {
			t.Errorf("wearer.toml does not explain %s", m.Name)
		}
	}
}

func TestStartNeverOverwrites(t *testing.T) {
	dir := t.TempDir()
	mine := filepath.Join(dir, wearerFile)
	require.NoError(t, os.WriteFile(mine, []byte("name = 'Mira'\n"), 0o600))
	require.NoError(t, os.Symlink("nowhere.toml", filepath.Join(dir, logbookFile)))
	written, err := Start(dir)
	require.NoError(t, err)
	require.Equal(t, []string{"suit.toml"}, written)
	text, err := os.ReadFile(mine)
	require.NoError(t, err)
	require.Equal(t, "name = 'Mira'\n", string(text))
	_, err = os.Stat(filepath.Join(dir, "nowhere.toml"))
	require.ErrorIs(t, err, os.ErrNotExist)

	_, err = Start(filepath.Join(dir, "none"))
	if err == nil || !strings.HasPrefix(err.Error(), "write suit.toml: ") {
		t.Errorf("got %v", err)
	}
}
