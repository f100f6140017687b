package main

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"gambeson/analysis"
	"gambeson/config"
	"gambeson/report"
)

type triedCmd struct {
	Part    string  `arg:"" help:"The part, or the band of it, that was tried on: its mesh file."`
	Station string  `required:"" help:"Where: a measure such as calf (calf_girth), tightest, widest, or mm along the way in." placeholder:"WHERE"`
	Percent float64 `default:"100" help:"The scale that was tried, in percent of the file."`
	Verdict string  `required:"" enum:"tight,fits,loose" help:"What the wearer found: ${enum}." placeholder:"WORD"`
}

// Run adds the try-on to the logbook of the part's folder.
func (c *triedCmd) Run(out *console) error {
	path, err := filepath.Abs(c.Part)
	if err != nil {
		return err
	}
	root := config.Root(path)
	place, err := c.place(root, path)
	if err != nil {
		return err
	}
	if !(c.Percent >= 10 && c.Percent <= 1000) {
		return fail(exitUsage, "--percent %g: a scale between 10 and 1000 is expected", c.Percent)
	}
	findings := report.Previous(place)
	entry := config.Tryon{Part: place.Name(), Percent: c.Percent, Verdict: c.Verdict}
	if err := c.station(&entry, findings); err != nil {
		return err
	}
	if findings != nil {
		entry.Fingerprint = findings.Fingerprint
	}
	if err := config.Append(root, entry); err != nil {
		return fail(exitCannot, "%w", err)
	}
	said := "noted in " + filepath.Join(root, "logbook.toml") + ": " + place.Name() + " at " + trim(c.Percent) + " % was " + c.Verdict
	if entry.Capacity > 0 {
		said += " where it is " + trim(math.Round(10*entry.Capacity)/10) + " mm inside"
	}
	say(out.out, "%s", said)
	c.advise(out, root, place.Name(), findings)
	if c.Verdict == "tight" {
		say(out.out, "Numbness, tingling, or skin that changes colour: take a tight ring off at once, and never force one.")
	}
	return nil
}

// advise says what to do next, by the report of the part and the logbook as it
// now is.
func (c *triedCmd) advise(out *console, root, part string, f *analysis.Findings) {
	asked, err := config.Load(root)
	if err != nil || f == nil || f.Fit == nil {
		return
	}
	brief := asked.Brief(part)
	if f.Assembly != nil {
		for _, mate := range f.Assembly.Mates {
			brief.Mates = append(brief.Mates, analysis.Mate{Part: mate})
		}
		asked.Join(&brief)
	}
	if f.Weigh(brief); f.Testing != nil {
		say(out.out, "What next: %s", f.Testing.Text)
		say(out.out, "gambeson check %s cuts the bands for it and writes the report anew; a daemon on the folder has begun to.", c.Part)
	}
}

// place finds the part: a file, or a member of an archive below its path.
func (c *triedCmd) place(root, path string) (report.Place, error) {
	relative, err := filepath.Rel(root, path)
	if err != nil {
		return report.Place{}, err
	}
	part := filepath.ToSlash(relative)
	if of, ok := report.CutFrom(part); ok {
		part, path = of, filepath.Join(root, filepath.FromSlash(of))
	}
	if _, err := os.Stat(path); err == nil {
		return report.Place{Root: root, Part: part}, nil
	}
	if at := strings.Index(strings.ToLower(part), ".zip/"); at >= 0 {
		place := report.Place{Root: root, Part: part[:at+4], Member: part[at+5:]}
		if report.Previous(place) != nil {
			return place, nil
		}
	}
	return report.Place{}, fail(exitNoInput, "no such part: %s", c.Part)
}

// station fills in where it was tried on, and how wide the part is there at
// that scale, as far as its report tells.
func (c *triedCmd) station(e *config.Tryon, f *analysis.Findings) error {
	if along, err := strconv.ParseFloat(c.Station, 64); err == nil && along >= 0 && along < 1e4 {
		if long := longest(f); long > 0 && along > long+beyond {
			return fail(exitUsage, "--station %s: %s is only %.0f mm long along the way in", c.Station, c.Part, long)
		}
		e.Along = along
	} else if name, ok := measureName(c.Station); ok {
		if places := placesOf(f); len(places) > 0 && !slices.Contains(places, name) {
			return fail(exitUsage, "--station %s: %s has no such place; expected tightest, widest, mm along the way in, or one of %s", c.Station, c.Part, strings.Join(places, ", "))
		}
		e.Station = name
	} else if c.Station == "tightest" || c.Station == "widest" {
		if f == nil {
			return fail(exitNoInput, "there is no report of %s yet that says where it is %s: give a measure or mm", c.Part, c.Station)
		}
		s, ok := f.Tightest()
		if c.Station == "widest" {
			s, ok = f.Widest()
		}
		if !ok {
			return fail(exitNoInput, "%s has no way through, so no %s place", c.Part, c.Station)
		}
		e.Along = math.Round(10*s.Along) / 10
	} else {
		return fail(exitUsage, "--station %s: expected tightest, widest, mm along the way in, or one of %s", c.Station, strings.Join(measureWords(), ", "))
	}
	if f != nil {
		e.Capacity = math.Round(100*f.RoomAt(e.Station, e.Along)*c.Percent/f.Percent) / 100
	}
	return nil
}

// beyond is how far past the last station, mm, a place may be given: rims lean, and
// tapes are read to the nearest ten.
const beyond = 30.0

// longest is how long the longest way through a part is, mm, at 100 percent or at the
// scale of its report where that is larger; 0 where that tells of none.
func longest(f *analysis.Findings) float64 {
	if f == nil {
		return 0
	}
	long := 0.0
	for _, c := range f.Cavities {
		for _, line := range c.Centrelines {
			for _, s := range line.Stations {
				long = max(long, s.Along)
			}
		}
	}
	return max(long, long*100/f.Percent)
}

// placesOf are the measures that a try-on of a part can be at, as far as its
// report tells.
func placesOf(f *analysis.Findings) []string {
	if f == nil {
		return nil
	}
	return f.Places()
}

// measureName takes calf for calf_girth.
func measureName(word string) (string, bool) {
	names := measureWords()
	for _, name := range []string{word, word + "_girth"} {
		if slices.Contains(names, name) {
			return name, true
		}
	}
	return "", false
}

func measureWords() []string {
	var names []string
	for _, m := range config.Measures() {
		names = append(names, m.Name)
	}
	return names
}

func trim(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
