package config

import (
	"bytes"
	"errors"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// syntax tells a fault that the decoder found, with what was likely meant.
func syntax(text []byte, cause error) *Error {
	var broken toml.ParseError
	if !errors.As(cause, &broken) {
		return &Error{Fault: "not valid TOML: " + cause.Error(), err: cause}
	}
	at := min(broken.Position.Start, len(text))
	err := fault(text, at, "not valid TOML: "+plainly(broken.Message), "")
	err.err = cause
	start := bytes.LastIndexByte(text[:at], '\n') + 1
	line, _, _ := bytes.Cut(text[start:], []byte{'\n'})
	if err.Key = broken.LastKey; err.Key != "" && !plainKey.MatchString(err.Key) {
		err.Key = show(err.Key)
	}
	switch {
	case strings.Contains(broken.Message, "already been defined"):
		if sideKey.MatchString(broken.LastKey) {
			err.Expected = "a measure either plain or by .left and .right, not both"
		}
		return err
	case strings.HasPrefix(broken.Message, "expected a comma"):
		return err // what does not end may have begun some lines above
	}
	if key, meant := meantLine(strings.TrimSpace(string(line))); key != "" {
		err.Key, err.Nearest = key, meant
	}
	return err
}

// wordings are what the decoder (BurntSushi/toml 1.6.0) says, and the same in words
// for somebody who never heard of it. The first that matches counts.
var wordings = []struct {
	said  *regexp.Regexp
	means string
}{
	{regexp.MustCompile(`^expected a top-level item to end with a newline, comment, or EOF, but got (.+) instead$`), "$1 stands where the line should end"},
	{regexp.MustCompile(`^expected value but found '\\n' instead$`), "the line ends where a value should stand"},
	{regexp.MustCompile(`^unexpected EOF; expected value$`), "the file ends where a value should stand"},
	{regexp.MustCompile(`^expected value but found (.+) instead$`), "$1 is no value"},
	{regexp.MustCompile(`^strings cannot contain newlines$`), "the line ends within a text: its closing quotation mark is missing"},
	{regexp.MustCompile(`^unexpected EOF; expected ['"].+$`), "the file ends within a text: its closing quotation mark is missing"},
	{regexp.MustCompile(`^expected a comma \(','\) or array terminator \('\]'\), but got end of file$`), "the file ends within a list: its closing bracket ] is missing"},
	{regexp.MustCompile(`^expected a comma \(','\) or array terminator \('\]'\), but got (.+)$`), "$1 stands within a list, where a comma or the closing bracket ] should"},
	{regexp.MustCompile(`^expected a comma or an inline table terminator '\}', but got (.+) instead$`), "$1 stands within curly brackets, where a comma or the closing one should"},
	{regexp.MustCompile(`^newlines not allowed within inline tables$`), "the line ends within curly brackets"},
	{regexp.MustCompile(`^expected (?:'\.' or '\]' to end table name|end of table array name delimiter '\]'), but got '\\n' instead$`), "the line ends within a heading: its closing bracket ] is missing"},
	{regexp.MustCompile(`^expected (?:'\.' or '\]' to end table name|end of table array name delimiter '\]'), but got (.+) instead$`), "$1 stands within a heading, where its closing bracket ] should"},
	{regexp.MustCompile(`^expected '\.' or '=', but got '\\n' instead$`), "the line ends after a key: = and a value are missing"},
	{regexp.MustCompile(`^expected '\.' or '=', but got (.+) instead$`), "$1 stands after a key, where = should"},
	{regexp.MustCompile(`^unexpected EOF; expected key separator '='$`), "the file ends after a key: = and a value are missing"},
	{regexp.MustCompile(`^unexpected '=': key name appears blank$`), "= stands where a key should"},
	{regexp.MustCompile(`^Key '(.+)' has already been defined\.$`), "$1 is there twice"},
	{regexp.MustCompile(`^Key '(.+)' was already created.*$`), "$1 is there twice, as a value and as a table"},
	{regexp.MustCompile(`^Invalid (?:integer|float) "(.+)": cannot have leading zeroes$`), `"$1" has a zero in front`},
	{regexp.MustCompile(`^not an? (?:binary|octal|hexadecimal) number: '(\w+)(?s:.*)$`), "$1 is no number"},
	{regexp.MustCompile(`^TOML files cannot contain control characters: '(.+)'$`), "it holds a character that cannot be seen: $1"},
}

// ends are the characters at which lines end, as the decoder quotes them.
var ends = strings.NewReplacer(`'\n'`, "the end of the line", `'\r'`, "the end of the line", `'\t'`, "a tab", `'\x00'`, "the end of the file")

// plainly says in plain words what the decoder said.
func plainly(said string) string {
	for _, w := range wordings {
		if at := w.said.FindStringSubmatchIndex(said); at != nil {
			said = string(w.said.ExpandString(nil, w.means, said, at))
			break
		}
	}
	said = ends.Replace(said)
	if !printable(said) { // it repeats what the file holds
		quoted := strconv.Quote(said)
		said = quoted[1 : len(quoted)-1]
	}
	return said
}

// plainKey are the keys that need no quotation marks, with those of the tables
// above them.
var plainKey = regexp.MustCompile(`^[\w-]+(\.[\w-]+)*$`)

// printable reports whether a text has nothing in it that a terminal would not
// show as it is.
func printable(s string) bool {
	return utf8.ValidString(s) && strings.IndexFunc(s, func(r rune) bool { return !unicode.IsPrint(r) }) < 0
}
