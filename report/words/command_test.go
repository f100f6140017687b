package words

import "testing"

func TestNamesAreQuotedForTheShell(t *testing.T) {
	for name, want := range map[string]string{
		"legs/a-1.stl": "legs/a-1.stl", "my boot.stl": "'my boot.stl'", "it's.stl": `'it'\''s.stl'`, "-x.stl": "'-x.stl'", "$(rm).stl": "'$(rm).stl'",
	} {
		if got, ok := ShellWord(name); got != want || !ok {
			t.Errorf("%q: got %q", name, got)
		}
	}
	if _, ok := ShellWord("a\nb.stl"); ok {
		t.Error("a line end can be typed")
	}
}
