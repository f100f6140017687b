package main

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"gambeson/analysis"
	"gambeson/cmd/gambeson/store"
	"gambeson/config"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/paper"
)

type triedCmd struct {
	Part    string   `arg:"" help:"The part, or the band of it, that was tried on: its mesh file."`
	Station string   `required:"" help:"Where: a measure such as calf (calf_girth), tightest (what the report's first line names), widest, or mm along the way in." placeholder:"WHERE"`
	Percent *float64 `help:"The scale that was tried, in percent of the file; else that of the band, of the print in logbook.toml, or the one that suit.toml asks for."`
	Verdict string   `required:"" enum:"tight,fits,loose" help:"What the wearer found: ${enum}." placeholder:"WORD"`
}

// Run adds the try-on to the logbook of the part's folder.
func (c *triedCmd) Run(out *console) error {
	path, err := filepath.Abs(c.Part)
	if err != nil {
		return err
	}
	root := config.Root(path)
	place, band, err := c.place(root, path)
	if err != nil {
		return err
	}
	findings := paper.Previous(place)
	percent, err := c.scale(place, findings, band)
	if err != nil {
		return err
	}
	if !(percent >= 10 && percent <= 1000) {
		return fail(exitUsage, "--percent %g: a scale between 10 and 1000 is expected", percent)
	}
	entry := config.Tryon{Part: place.Name(), Percent: percent, Verdict: c.Verdict}
	if err := c.station(&entry, findings); err != nil {
		return err
	}
	if findings != nil {
		entry.Fingerprint = findings.Fingerprint
	}
	// What cannot be read now says nothing of the padding.
	if asked, err := config.Load(root); err == nil {
		if rests, passes, ok := findings.Padding(asked.Brief(place.Name())); ok {
			entry.Padding, entry.EntryPadding = &rests, &passes
		}
	}
	if err := config.Append(root, entry); err != nil {
		return fail(exitCannot, "%w", err)
	}
	said := "noted in " + filepath.Join(root, "logbook.toml") + ": " + place.Name() + " at " + trim(percent) + " % " + map[string]string{"tight": "was tight", "fits": "fitted", "loose": "was loose"}[c.Verdict]
	if entry.Station != "" {
		said += " at the " + analysis.MeasureWords(entry.Station)
	}
	if entry.Capacity > 0 {
		said += " where it is " + trim(math.Round(10*entry.Capacity)/10) + " mm inside"
	}
	say(out.out, "%s", said)
	advise(out, place, findings)
	if c.Verdict == "tight" {
		say(out.out, "Numbness, tingling, or skin that changes colour: take a tight ring off at once, and never force one.")
	}
	return nil
}

// scale is the one that was tried. Who names none means that of the band that was tried
// on, "" where it was none, of the print, or the one that is asked for: as the TOML files
// have them now, of which the report may not know yet.
func (c *triedCmd) scale(place disk.Place, f *analysis.Findings, band string) (float64, error) {
	if c.Percent != nil {
		return *c.Percent, nil
	}
	if percent, ok := analysis.BandScale(band); ok {
		return percent, nil
	}
	asked, err := config.Load(place.Root)
	if err != nil {
		return 0, fail(exitConfig, "%w\nmend that, or say with --percent at which scale it was tried", err)
	}
	brief := asked.Brief(place.Name())
	switch {
	case brief.Printed == 0 || band != "":
		return brief.Percent, nil
	case f != nil && f.PrintedNoted == brief.Printed && f.Printed > 0: // of the file as it lies
		return f.Printed, nil
	}
	return brief.Printed, nil
}

// advise says what to do next, by the report of a part and the logbook as it
// now is.
func advise(out *console, place disk.Place, f *analysis.Findings) {
	part := place.Name()
	asked, err := config.Load(place.Root)
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
	f.Weigh(brief)
	if f.Testing == nil {
		return
	}
	if tried := f.Testing.Tried; len(tried) > 0 {
		if own := slices.DeleteFunc(slices.Clone(tried), func(t analysis.Tried) bool { return t.Part != "" }); len(own) > 0 && !own[len(own)-1].Counts {
			say(out.out, "It says nothing of the scale: no girth that decides is there.")
		}
	}
	if f.Unsettled() {
		for _, w := range f.Warnings {
			if analysis.IsOdd(w) {
				say(out.out, "%s", w.Text)
			}
		}
		say(out.out, "What next: settle that before anything more is printed.")
	} else {
		say(out.out, "What next: %s", f.Testing.Text)
	}
	say(out.out, "%s", anew(place))
}

// anew says what cuts the bands and writes the report of a part anew: a command that can
// be pasted, and a daemon where one is on the folder.
func anew(place disk.Place) string {
	begun := ""
	by, held, err := store.Holding(place.Root)
	if err == nil && held && (by.Command == "watch" || by.Command == "demo") && store.LiesIn(store.RealPath(by.Root), store.RealPath(place.Root)) {
		begun = "; the daemon on the folder has begun to"
	}
	return answer.CheckCommand(filepath.Join(place.Root, filepath.FromSlash(place.Part))) + " cuts the bands for it and writes the report anew" + begun + "."
}

// place finds the part: a file, or a member of an archive below its path; and the name
// of the band of it that path is, "" where it is none.
func (c *triedCmd) place(root, path string) (place disk.Place, band string, err error) {
	relative, err := filepath.Rel(root, path)
	if err != nil {
		return place, "", err
	}
	part := filepath.ToSlash(relative)
	if of, ok := disk.CutFrom(part); ok {
		band = filepath.Base(path)
		part, path = of, filepath.Join(root, filepath.FromSlash(of))
	}
	if _, err := os.Stat(path); err == nil {
		return disk.Place{Root: root, Part: part}, band, nil
	}
	if at := strings.Index(strings.ToLower(part), ".zip/"); at >= 0 {
		place = disk.Place{Root: root, Part: part[:at+4], Member: part[at+5:]}
		if paper.Previous(place) != nil {
			return place, band, nil
		}
	}
	return place, "", fail(exitNoInput, "no such part: %s%s", c.Part, c.elsewhere())
}

// elsewhere says that a part is named as seen from its suit's folder, where it may well
// be: the reports name it so.
func (c *triedCmd) elsewhere() string {
	if filepath.IsAbs(c.Part) {
		return ""
	}
	where := "; parts are named as seen from the folder that this is said in: say it in the suit's folder, or give the path from here"
	entries, err := os.ReadDir(".")
	if err != nil {
		return where
	}
	for _, e := range entries {
		if _, err := os.Stat(filepath.Join(e.Name(), c.Part)); err == nil {
			return where + ", such as " + filepath.Join(e.Name(), c.Part)
		}
	}
	return where
}

// station fills in where it was tried on, and how wide the part is there at
// that scale, as far as its report tells.
func (c *triedCmd) station(e *config.Tryon, f *analysis.Findings) error {
	if along, err := strconv.ParseFloat(c.Station, 64); err == nil && along >= 0 && along < 1e4 {
		if long := longest(f); long > 0 && along > long+beyond {
			return fail(exitUsage, "--station %s: %s is only %.0f mm long along the way in", c.Station, c.Part, long)
		}
		e.Along = along
	} else if name := config.MeasureNamed(c.Station); name != "" {
		if places := placesOf(f); len(places) > 0 && !slices.Contains(places, name) {
			return fail(exitUsage, "--station %s: %s has no such place; expected tightest, widest, mm along the way in, or one of %s", c.Station, c.Part, strings.Join(places, ", "))
		}
		e.Station = name
	} else if c.Station == "tightest" || c.Station == "widest" {
		if f == nil {
			return fail(exitNoInput, "there is no report of %s yet that says where it is %s: give a measure or mm", c.Part, c.Station)
		}
		measure, along, ok := answer.Tightest(f)
		if c.Station == "widest" {
			var s analysis.Station
			s, ok = f.Widest()
			measure, along = "", s.Along
		}
		if !ok {
			return fail(exitNoInput, "%s has no way through, so no %s place", c.Part, c.Station)
		}
		e.Station, e.Along = measure, math.Round(10*along)/10
	} else {
		return fail(exitUsage, "--station %s: expected tightest, widest, mm along the way in, or one of %s", c.Station, strings.Join(measureWords(), ", "))
	}
	if f != nil {
		e.Capacity = math.Round(100*f.RoomAt(e.Station, e.Along)*e.Percent/f.Percent) / 100
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

func measureWords() []string {
	var names []string
	for _, m := range config.Measures() {
		names = append(names, m.Name)
	}
	return names
}

func trim(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
