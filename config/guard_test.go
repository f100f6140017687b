package config

import (
	"fmt"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"
)

func TestScanLimits(t *testing.T) {
	filler := strings.Repeat("# a remark of 32 bytes in a line\n", maxFile/32)
	tests := []struct{ name, text, want string }{
		{"file", filler, "suit.toml: is larger than 1 MiB; expected a file of settings"},
		{"line", "a = 1\n# " + strings.Repeat("x", maxLine), "suit.toml:2:1: a line of more than 4096 bytes; expected shorter lines"},
		{"nul", "a = 1\nb = \x002", "suit.toml:2:5: a NUL byte; expected text saved as UTF-8"},
		{"utf16", "\xff\xfea\x00", "suit.toml:1:4: a NUL byte; expected text saved as UTF-8"},
		{"latin1", "# caf\xe9\n", "suit.toml:1:6: a byte that is not UTF-8; expected text saved as UTF-8"},
		{"dots", "\n" + strings.Repeat("a.", 33) + "a = 1", "suit.toml:2:1: a key with more than 32 dots; expected a plain key"},
		{"dots in a header", "[" + strings.Repeat("a.", 33) + "a]", "suit.toml:1:2: a key with more than 32 dots; expected a plain key"},
		{"dots in a brace", "a = {" + strings.Repeat("a.", 33) + "a=1}", "suit.toml:1:6: a key with more than 32 dots; expected a plain key"},
		{"long key", strings.Repeat("k", 300) + " = 1", "suit.toml:1:1: a key of more than 256 bytes; expected a shorter key"},
		{"lists", "a = " + strings.Repeat("[", 40), "suit.toml:1:38: more than 32 lists or tables inside each other; expected plain values"},
		{"lists over lines", "a = " + strings.Repeat("[\n", 1e5), "suit.toml:34:1: more than 32 lists or tables inside each other; expected plain values"},
		{"braces", "a = " + strings.Repeat("{a=", 40), "suit.toml:1:104: more than 32 lists or tables inside each other; expected plain values"},
		{"mixed", "a = " + strings.Repeat("[{a=", 40), "suit.toml:1:70: more than 32 lists or tables inside each other; expected plain values"},
		{"broken first", "] = \"x\n" + strings.Repeat("a.", 33) + "a = 1", "suit.toml:2:1: a key with more than 32 dots; expected a plain key"},
		{"keys", manyKeys(), "suit.toml:6046:1: too many keys; expected a file of settings"},
	}
	for _, test := range tests {
		if _, errs := readSuit([]byte(test.text)); errs.Error() != test.want {
			t.Errorf("%s:\ngot  %v\nwant %s", test.name, errs, test.want)
		}
	}
}

func manyKeys() string {
	var b strings.Builder
	b.WriteString("[" + strings.Repeat("a.", 31) + "a]\n")
	for i := range 10_000 {
		fmt.Fprintf(&b, "k%d = 1\n", i)
	}
	return b.String()
}

// What is not a key must not count: brackets and dots in text and remarks.
func TestScanLetsThrough(t *testing.T) {
	deep, dotted := strings.Repeat("[{", 50), strings.Repeat("a.", 50)
	for _, text := range []string{
		"# " + deep + dotted,
		`name = "` + deep + dotted + `"`,
		`name = '` + deep + dotted + `'`,
		`name = """` + "\n" + deep + "\n\\\"\"\"\\\n" + dotted + `"""`,
		`name = '''` + "\n" + deep + "\n''" + dotted + `'''`,
		`name = """a"""""`,
		`name = "\\" # ` + deep,
		"\ufeffname = 'with a byte order mark'",
		"name = 'x'\r\nstature = 1700\r\n",
	} {
		if _, errs := readWearer([]byte(text)); len(errs) > 0 {
			t.Errorf("%q: %v", text, errs)
		}
	}
}

// The scan finds every key that the decoder finds, where it stands.
func TestScanPlaces(t *testing.T) {
	const text = `# remark
top = 1
[printer]
  bed = [220,
     220] # more
a.b."c d".'e' = {x = 1, y = [{z = 2}, {z = 3}]}
[[part]]
file = """
[no]
header = 3"""
[[part]]
file = 2
[part.deep]
x = 1979-05-27 07:32:00
[[part.list]]
x = 1
[[part.list]]
x = 2
`
	places, err := scan([]byte(text))
	require.Nil(t, err)
	for path, want := range map[string]string{
		"top": "2:1", "printer": "3:1", "printer.bed": "4:3", "printer.bed.1": "5:6",
		"printer.a.b.c d.e": "6:1", "printer.a.b.c d.e.x": "6:18", "printer.a.b.c d.e.y.1.z": "6:40",
		"part.0": "7:1", "part.0.file": "8:1", "part.1": "11:1", "part.1.file": "12:1",
		"part.1.deep": "13:1", "part.1.deep.x": "14:1", "part.1.list.1.x": "18:1",
	} {
		n := places
		for _, step := range strings.Split(path, ".") {
			if i := strings.IndexAny(step, "01"); i == 0 {
				require.Greater(t, len(n.items), int(step[0]-'0'), path)
				n = n.items[step[0]-'0']
			} else {
				require.Contains(t, n.keys, step, path)
				n = n.keys[step]
			}
		}
		if line, column := position([]byte(text), n.at); fmt.Sprintf("%d:%d", line, column) != want {
			t.Errorf("%s stands at %d:%d, want %s", path, line, column, want)
		}
	}
	require.NotContains(t, places.keys, "no")
}

// FuzzScan holds the scan against the decoder: whatever that takes, the scan
// has measured rightly, and knows where each table and value stands.
func FuzzScan(f *testing.F) {
	f.Add([]byte("a.b = [1, {c = 2}]\n[[d]]\n'e f' = \"\"\"\n]]\"\"\"\n[d.g]\nh = {}\n"))
	f.Add([]byte("[[t.a]]\n[t]\na.v = 1\n"))
	f.Add([]byte("\"a\\u0062\" = 1\n[x.\"y.z\"]\nq = ''''a''''\n"))
	f.Add([]byte("[[a.b]]\n[[a.b]]\nx=1\n[a.b.c]\ny=[[1],[2,[{z=1}]]]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		places, limit := scan(text)
		if limit != nil {
			return
		}
		var values map[string]any
		if _, err := toml.Decode(string(text), &values); err != nil || strings.HasPrefix(string(text), "\ufeff") {
			return
		}
		compare(t, "", values, places, 0)
	})
}

func compare(t *testing.T, path string, v any, n *node, depth int) {
	if n == nil {
		t.Fatalf("%s has no place", path)
	}
	if depth > 2*maxDepth+2 {
		t.Fatalf("%s is too deep", path)
	}
	switch v := v.(type) {
	case map[string]any:
		for key, item := range v {
			compare(t, path+"."+key, item, n.keys[key], depth+1)
		}
	case []map[string]any:
		for i, item := range v {
			compareItem(t, path, i, item, n, depth)
		}
	case []any:
		for i, item := range v {
			compareItem(t, path, i, item, n, depth)
		}
	}
}

func compareItem(t *testing.T, path string, i int, v any, n *node, depth int) {
	if i >= len(n.items) {
		t.Fatalf("%s[%d] has no place", path, i)
	}
	compare(t, fmt.Sprintf("%s[%d]", path, i), v, n.items[i], depth+1)
}

// BenchmarkWorst decodes the slowest texts that the limits let through.
func BenchmarkWorst(b *testing.B) {
	fill := func(line func(i int) string) string {
		var text strings.Builder
		for i := 0; text.Len() < maxFile-maxLine; i++ {
			text.WriteString(line(i))
		}
		return text.String()
	}
	deep := func(n int, open, in, end string) string { return strings.Repeat(open, n) + in + strings.Repeat(end, n) }
	for name, text := range map[string]string{
		"headers":    fill(func(int) string { return "[[a]]\n" }),
		"tables":     fill(func(i int) string { return fmt.Sprintf("[a%d]\n", i) }),
		"dotted":     fill(func(i int) string { return fmt.Sprintf("%sk%d=1\n", strings.Repeat("a.", 31), i) }),
		"lists":      fill(func(i int) string { return fmt.Sprintf("k%d=%s\n", i, deep(32, "[", "1", "]")) }),
		"braces":     fill(func(i int) string { return fmt.Sprintf("k%d=%s\n", i, deep(32, "{a=", "1", "}")) }),
		"one list":   "a=[" + fill(func(int) string { return "{a=1,b=2},\n" }) + "]",
		"long lists": "a=[" + fill(func(int) string { return deep(30, "[", "1", "]") + ",\n" }) + "]",
		"few braces": strings.Join(strings.SplitAfterN(fill(func(i int) string { return fmt.Sprintf("k%d=%s\n", i, deep(32, "{a=", "1", "}")) }), "\n", 330)[:329], ""),
		"few dotted": strings.Join(strings.SplitAfterN(fill(func(i int) string { return fmt.Sprintf("%sk%d=1\n", strings.Repeat("a.", 31), i) }), "\n", 370)[:369], ""),
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				readSuit([]byte(text))
			}
		})
	}
}
