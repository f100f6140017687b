package config

import (
	"strings"
	"testing"
)

// What a person is told of a text that is no TOML has neither the decoder's own
// words nor a character that cannot be seen, and names where it is. (Texts after
// TOML 1.0.0, each with one slip.)
func TestSyntaxIsToldPlainly(t *testing.T) {
	for text, want := range map[string]string{
		"[printer]\nbed = [220, 220\nheight = 250\n": `3:1: printer.bed: not valid TOML: 'h' stands within a list, where a comma or the closing bracket ] should`,
		"[printer]\nbed = [220, 220":                 `2:15: printer.bed: not valid TOML: the file ends within a list: its closing bracket ] is missing`,
		"[printer]\nheight =\n":                      `2:9: height: not valid TOML: the line ends where a value should stand`,
		"[printer]\nheight =":                        `2:8: height: not valid TOML: the file ends where a value should stand`,
		"[printer]\nheight = \"25 cm\n":              `2:16: height: not valid TOML: the line ends within a text: its closing quotation mark is missing`,
		"[printer]\nheight = '25 cm\n":               `2:16: height: not valid TOML: the line ends within a text: its closing quotation mark is missing`,
		"[printer]\nheight = \"25 cm":                `2:15: height: not valid TOML: the file ends within a text: its closing quotation mark is missing`,
		"[printer]\nheight = \"\"\"25 cm\n":          `not valid TOML: the file ends within a text: its closing quotation mark is missing`,
		"[printer]\nheight\n":                        `2:7: printer: not valid TOML: the line ends after a key: = and a value are missing`,
		"[printer]\nheight 250\n":                    `2:8: printer: not valid TOML: '2' stands after a key, where = should`,
		"[printer]\nheight":                          `2:6: printer: not valid TOML: the file ends after a key: = and a value are missing`,
		"[printer]\n= 250\n":                         `2:1: printer: not valid TOML: = stands where a key should`,
		"[printer\nheight = 250\n":                   `1:9: not valid TOML: the line ends within a heading: its closing bracket ] is missing`,
		"[[part]\nfile = \"a.stl\"\n":                `1:7: not valid TOML: the line ends within a heading: its closing bracket ] is missing`,
		"[printer height]\n":                         `1:10: not valid TOML: 'h' stands within a heading, where its closing bracket ] should`,
		"[printer]\nheight = 250 mm\n":               `2:13: height: not valid TOML: 'm' stands where the line should end; did you mean height = "250 mm"?`,
		"[printer]\nheight = 250\nheight = 260\n":    `3:1: printer.height: not valid TOML: printer.height is there twice`,
		"[printer]\nwalls = 03\n":                    `2:9: walls: not valid TOML: "03" has a zero in front; did you mean walls = 3?`,
		"[printer]\nbed = { x = 1\ny = 2 }\n":        `3:1: printer.bed.x: not valid TOML: 'y' stands within curly brackets, where a comma or the closing one should`,
		"[printer]\nheight = \"25\x01cm\"\n":         `not valid TOML: it holds a character that cannot be seen: 0x01`,
		"[printer]\nheight = 0x":                     `height: not valid TOML: 0x is no number`,
		"[printer]\nheight = 0b2\n":                  `height: not valid TOML: 0b`,
		"printer = 3\n[[printer]]\n":                 `not valid TOML: printer is there twice, as a value and as a table`,
	} {
		_, errs := readSuit([]byte(text))
		got := errs.Error()
		if !strings.Contains(got, want) {
			t.Errorf("%q: got %s, want %s", text, got, want)
		}
		for _, odd := range []string{`\`, "newline", "EOF", "array", "terminator", "delimiter", "top-level", "instead", "Key '", "string"} {
			if strings.Contains(got, odd) {
				t.Errorf("%q: %s", text, got)
				break
			}
		}
	}
}

// Nor has it where the decoder says something new.
func TestWhatTheDecoderRepeatsIsQuoted(t *testing.T) {
	for said, want := range map[string]string{
		"odd: '\x1b[2J\x00'":       `odd: '\x1b[2J\x00'`,
		"it says \"\u202e\u00a0\"": `it says \"\u202e\u00a0\"`,
	} {
		if got := plainly(said); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
