package words

import (
	"net/url"
	"path"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestNamesAreShownLetterByLetter(t *testing.T) {
	for name, want := range map[string]string{
		"legs/a.stl": "`legs/a.stl`", "a`b.stl": "``a`b.stl``", "`a`` ``b`": "``` `a`` ``b` ```",
		"<b>&amp;.stl": "`<b>&amp;.stl`", " a ": "`  a  `", "": "`  `", "a\nb\x1b\x00.stl": "`a\ufffdb\ufffd\ufffd.stl`",
		"\xff.stl": "`\ufffd.stl`", "\u202egnp.lts": "`\ufffdgnp.lts`", "Ärmel 👩‍🎤.stl": "`Ärmel 👩‍🎤.stl`",
		"a|b*.stl": `a\|b\*.stl`, "[a]: b.stl": `\[a\]: b.stl`, // CommonMark 4.7: it would define a link
	} {
		if got := Code(name); got != want {
			t.Errorf("%q: got %q, want %q", name, got, want)
		}
	}
}

func TestTextIsShownAsItReads(t *testing.T) {
	for text, want := range map[string]string{
		"Fits up to 97.2 % (calf_girth).": "Fits up to 97.2 % (calf_girth).",
		"<script>alert(1)</script>":       `\<script\>alert(1)\</script\>`,
		"![x](http://y) `c` **b** _i_":    `\!\[x\](http\://y) \` + "`c\\`" + ` \*\*b\*\* \_i\_`,
		"# heading":                       `\# heading`, "- item": `\- item`, "1. item": `1\. item`, "12) item": `12\) item`,
		"a\n\n## Your notes\nb": `a \#\# Your notes b`, "a|b": `a\|b`, "&lt; ~~x~~": `\&lt; \~\~x\~\~`,
		"www.example.org": `www\.example.org`, "3.5 mm": `3\.5 mm`,
	} {
		if got := Prose(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
	long := strings.Repeat(".", 1<<20) // would take hours if it were quadratic
	if got := Prose(long); len(got) != len(long) {
		t.Errorf("%d bytes of %d", len(got), len(long))
	}
}

// A link leads from a report to the file it names, whatever bytes both hold.
func TestLinksLeadToTheirFile(t *testing.T) {
	if got, want := Href("SUIT.md", "legs/\xff\xfe.stl"), "legs/%FF%FE.stl"; got != want { // no text in any encoding
		t.Errorf("address %q, want %q", got, want)
	}
	rapid.Check(t, func(t *rapid.T) {
		element := rapid.StringMatching(`[^/\x00]{1,8}`).Filter(func(s string) bool { return s != "." && s != ".." })
		file := rapid.Custom(func(t *rapid.T) string {
			return strings.Join(rapid.SliceOfN(element, 1, 4).Draw(t, "elements"), "/")
		})
		from, to := file.Draw(t, "from"), file.Draw(t, "to")
		got := Href(from, to)
		if strings.Trim(got, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789%/-._~") != "" {
			t.Fatalf("address %q is not plain", got)
		}
		u, err := url.Parse(got)
		if err != nil || u.Scheme != "" || u.Host != "" || u.RawQuery != "" || u.Fragment != "" {
			t.Fatalf("address %q is read as %+v, %v", got, u, err)
		}
		if led := path.Join(path.Dir(from), u.Path); led != path.Clean(to) {
			t.Fatalf("from %q to %q: %q leads to %q", from, to, got, led)
		}
	})
}
