package main

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"gambeson/config"
)

// helped runs gambeson help and returns what it says.
func helped(t *testing.T, args ...string) (string, int) {
	t.Helper()
	var out, errs bytes.Buffer
	code := run(t.Context(), append([]string{"help"}, args...), &out, &errs)
	return out.String() + errs.String(), code
}

func TestEveryTopicIsListedAndSaysSomething(t *testing.T) {
	list, code := helped(t)
	if code != exitWell {
		t.Errorf("the list ends with %d", code)
	}
	for _, topic := range topics() {
		if !strings.Contains(list, topic.name) {
			t.Errorf("%s is not in the list", topic.name)
		}
		text, code := helped(t, topic.name)
		if code != exitWell || len(text) < 300 {
			t.Errorf("%s ends with %d and says %q", topic.name, code, text)
		}
		if topic.name == "settings" {
			continue // as it is written into the files
		}
		for i, line := range strings.Split(text, "\n") {
			if len([]rune(line)) > 110 {
				t.Errorf("%s, line %d: too wide for a terminal: %s", topic.name, i+1, line)
			}
		}
	}
	if _, code := helped(t, "frob"); code != exitUsage {
		t.Errorf("an unknown topic ends with %d", code)
	}
	if text, _ := helped(t, "meas"); !strings.Contains(text, "calf_girth") {
		t.Error("a topic's beginning is not taken for it")
	}
}

func TestTopicsSayAllThereIs(t *testing.T) {
	measures, _ := helped(t, "measuring")
	for _, m := range config.Measures() {
		if !strings.Contains(measures, "  "+m.Name) || !strings.Contains(measures, m.How) {
			t.Errorf("%s is missing", m.Name)
		}
	}
	codes, _ := helped(t, "codes")
	for _, code := range []int{exitWell, exitWarning, exitNotRunning, exitUsage, exitData, exitNoInput, exitInternal, exitCannot, exitHeld, exitConfig} {
		if !regexp.MustCompile(fmt.Sprintf(`(?m)^ +%d  \S`, code)).MatchString(codes) {
			t.Errorf("code %d is missing", code)
		}
	}
}

// No programmer's word is left in help and in what is said of a wrong command line.
func TestCommandLineSpeaksPlainly(t *testing.T) {
	for _, args := range [][]string{{"--help"}, {"watch", "--help"}, {"check", "--help"}, {"tried", "--help"}, {"loads", "--help"},
		{"tried", "x.stl", "--station", "calf", "--percent", "1x7", "--verdict", "tight"}, {"watch"}, {"status"}} {
		var out, errs bytes.Buffer
		run(t.Context(), args, &out, &errs)
		said := out.String() + errs.String()
		if len(said) < 60 {
			t.Errorf("%v says only %q", args, said)
		}
		for _, word := range []string{"context-sensitive", "a float", "(string)", "float64", "nil", `expected "`} {
			if strings.Contains(said, word) {
				t.Errorf("%v says %q: %s", args, word, said)
			}
		}
	}
}
