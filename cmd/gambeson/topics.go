package main

import (
	"fmt"
	"io"
	"strings"

	"gambeson/config"
)

// helpCmd says at length what the commands' own help has no room for.
type helpCmd struct {
	Topic string `arg:"" optional:"" help:"One of files, measuring, settings, codes and words."`
}

// topic is a page of help.
type topic struct {
	name, about string
	text        func() string
}

func topics() []topic {
	return []topic{
		{"files", "what is read, and what is written where", func() string { return filesTopic }},
		{"measuring", "how to measure the wearer, and every measure", measuringTopic},
		{"settings", "every key of suit.toml, wearer.toml and logbook.toml", settingsTopic},
		{"codes", "what the exit codes mean", func() string { return codesTopic }},
		{"words", "what the words in the reports mean", func() string { return wordsTopic }},
	}
}

// Run writes a page of help, or which there are.
func (c *helpCmd) Run(out *console) error {
	for _, t := range topics() {
		if t.name == c.Topic {
			_, err := io.WriteString(out.out, t.text())
			return err
		}
	}
	if c.Topic != "" {
		for _, t := range topics() {
			if strings.HasPrefix(t.name, strings.ToLower(c.Topic)) {
				return (&helpCmd{Topic: t.name}).Run(out)
			}
		}
		return fail(exitUsage, "no help on %q; say gambeson help for the topics, gambeson COMMAND --help for a command", c.Topic)
	}
	say(out.out, "gambeson COMMAND --help tells about a command. Besides, gambeson help has:")
	for _, t := range topics() {
		say(out.out, "  %-10s %s", t.name, t.about)
	}
	return nil
}

const filesTopic = `What is read

  NAME.stl   binary or text; taken for mm, with a warning where unlikely
  NAME.3mf   with its own unit
  NAME.obj   taken for mm, with a warning where unlikely
  NAME.zip   meshes in it are parts of their own: kit.zip/legs/greave-left.stl
  suit.toml, wearer.toml, logbook.toml   see gambeson help settings

What is written, and nothing else. No mesh and no TOML file is ever changed, but
that gambeson tried adds to the end of logbook.toml.

  SUIT.md, SUIT.html          the whole suit: what to do next, every part
  SUIT.fit/                   why (details.md, details.html), bed loads
  NAME.stl.md, NAME.stl.html  the report of a part, and the same for a browser
  NAME.stl.fit/               its pictures and findings.json, and to print:
      bands/                  thin rings of the part, to be tried on first
      pieces/                 the part in pieces that the bed takes, or in halves
      singles/                the parts apart, where one file holds several
      panel/                  the strip that must come off, and the rest
  kit.zip.fit/                the same for what lies in an archive

Pages need no network and no program beside them: send NAME.stl.html alone.
What you write below "Your notes" at the end of a report stays there word for
word. findings.json is for other programs: lengths in mm, angles in degrees,
times in hours, masses in grams, scales in percent of the file.
`

func measuringTopic() string {
	var b strings.Builder
	b.WriteString(`How to measure

Use a soft tape that lies close and presses nothing, on the skin or over one thin
layer, standing relaxed where nothing else is said. Have somebody else do it,
twice; where the readings differ by more than 5 mm, once more. Between two
readings write the larger one: a shell drawn too tight stops the blood.

Write in wearer.toml, for example  calf_girth = 382  (mm)  or  "38.2 cm"  or
"15 1/16 in". Where left and right differ:  calf_girth.left = 380. What is
missing is estimated from the rest and marked so. gambeson start writes a
wearer.toml with drawings of where each tape runs.

`)
	for _, m := range config.Measures() {
		side := ""
		if m.Sided {
			side = " (left and right may differ)"
		}
		fmt.Fprintf(&b, "  %s%s\n      %s\n", m.Name, side, m.How)
	}
	return b.String()
}

func settingsTopic() string {
	var texts []string
	for _, f := range config.Starter() {
		if f.Name == "wearer.toml" {
			texts = append(texts, "# wearer.toml: the measures of the wearer; see gambeson help measuring.\n")
			continue
		}
		texts = append(texts, f.Text)
	}
	return strings.Join(texts, "\n")
}

const codesTopic = `Exit codes

   0  all is well; notes, such as a guessed region, do not change that
   1  some part has a warning; of status: the daemon runs, but not at its best
   3  of status: no daemon runs on that folder
  64  the command line is wrong
  65  a part could not be read; the others were done
  66  a file or folder that was named is not there
  70  the program itself failed
  73  something could not be written
  75  another gambeson holds the folder; what it would say was printed
  78  a TOML file is broken; nothing was written
`

const wordsTopic = `Words

  girth        the length all the way round, as a tape takes it
  station      a place along the part where the tape is laid, in mm from an opening
  inner girth  length of the wall's inside at a station
  capacity     girth of the greatest ellipse that fits there, of any shape from
               round to twice as wide as deep: the most room that a body can have
  needed       girth of the body with padding, lining and the ease wanted: a layer
               t thick makes a girth 2 x 3.1416 x t longer
  ease         what is left beyond body and padding, to move and to breathe
  throat       the narrowest place on the body's way in
  panel        the strip of wall that must come off so that the body gets in
  test band    a thin ring of the part itself, printed first and tried on
  try-on       what a band showed: tight, fits or loose
  bed          what the printer prints on; a bed load is one print of it
  scale        percent of the file as it lies: 107 % is 1.07 times as large
  risk         the chance that a print has to be done again: low is less than 1 in
               10, high is 1 in 3 or more

  measured     read off the mesh or with a tape
  estimated    reckoned from other measures or by a model; what stands behind the
               plus-minus sign is one standard deviation
  9 in 10      a range in which the true value lies that often
  guessed, assumed, default   neither measured nor estimated: check it

A printed shell is a costume. It protects from nothing.
`
