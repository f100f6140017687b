package main

import (
	"context"
	"fmt"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	"gambeson/analysis"
	"gambeson/cmd/gambeson/machine"
	"gambeson/config"
	"gambeson/report/suit"
	"gambeson/watcher"
)

// impersonal are the codes of warnings whose text tells nothing of the body:
// only these are said in full in the log and on the desktop.
var impersonal = map[string]bool{
	"bed-overflow": true, "mesh-open": true, "solid-block": true, "thin-wall": true, "no-wall": true, "no-such-opening": true,
	"stands-in-way": true, "parts-several": true, "parts-joined": true, "pieces-clear": true, "mesh-speck": true, "halves-uncut": true, "percent-twice": true,
	"round-joint": true, "assembly-apart": true, "assembly-gone": true, "assembly-renamed": true, "assembly-alone": true, "assembly-scale": true, codeUnreadable: true,
}

const codeUnreadable = "unreadable"

// impersonalText is what the log and the desktop may say of a warning.
func impersonalText(w analysis.Warning) string {
	if impersonal[w.Code] {
		return w.Text
	}
	text, told := withoutMeasures[w.Code]
	if !told {
		text = strings.ReplaceAll(w.Code, "-", " ")
	}
	return text + "; its report says where and what to do"
}

// withoutMeasures says what the other warnings mean, for those whose text holds measures
// of the body.
var withoutMeasures = map[string]string{
	"does-not-enter":   "the body does not get in as it is scaled now",
	"too-tight":        "too tight for the body as it is scaled now",
	"too-loose":        "too loose on the body as it is scaled now",
	"hole-tight":       "a hole of it is too small for the body: its rim is to be cut back",
	"too-short":        "too short for the body as it is scaled now",
	"too-long":         "too long for the body as it is scaled now",
	"size-unlikely":    "its size fits nobody: its unit or what it covers is wrong",
	"unit-unlikely":    "the unit of its file is doubtful, and with it all that is said of it",
	"measure-odd":      "a measure in wearer.toml hardly goes with the others",
	"wearer-unusable":  "wearer.toml holds a measure that cannot be right",
	"rest-outside":     "its rest in suit.toml lies outside the part",
	"tryon-astray":     "a try-on in logbook.toml names a place that the part does not have",
	"try-ons-odd":      "what was tried on hardly goes with the measures: measure again, and put the band on again",
	"try-ons-disagree": "two try-ons of it cannot both be right: put both on again",
}

// say logs what came of a part: that it was reported on, and what of its
// warnings is new or over. That it cannot be read, where that is news, is left to
// sayUnreadable.
func (d *daemon) say(f *folder, o outcome, took time.Duration) (unreadable bool) {
	if o.same {
		return false // what there is to say was said
	}
	name := o.row.Place.Name()
	findings := o.row.Findings
	switch {
	case o.kept:
		d.log.Debug().Str("event", "kept").Str("file", name).Msg("the report at hand still holds")
	case findings != nil && o.unwritten == nil:
		d.log.Info().Str("event", "reported").Str("file", name).Str("says", headline(findings)).Int64("dur_ms", took.Milliseconds()).Msg("report written")
	}
	d.settle(f, name, concernsOf(o), func(c concern) {
		if o.row.Refusal != nil {
			unreadable = true
			return
		}
		code, _, _ := strings.Cut(c.What, " ")
		d.log.Warn().Str("event", "warning").Str("file", name).Str("code", code).Str("text", c.Text).Msg("a part has a warning")
	}, func(c concern) {
		code, _, _ := strings.Cut(c.What, " ")
		d.log.Info().Str("event", "warning_ended").Str("file", name).Str("code", code).Msg("a warning of a part is over")
	})
	if !o.kept && findings != nil && findings.Mesh.Triangles > 500_000 { // a guess: below this the heap is small enough to keep
		debug.FreeOSMemory()
	}
	return unreadable
}

// sayUnreadable logs that parts cannot be read: those of one archive on one line
// with the first of them, as there may be thousands; its report lists all.
func (d *daemon) sayUnreadable(rows []suit.Row) {
	for len(rows) > 0 {
		file, r := rows[0].Place, rows[0].Refusal
		n := 1
		for n < len(rows) && rows[n].Place.Part == file.Part {
			n++
		}
		line := d.log.Warn().Str("event", "unreadable").Str("file", file.Name()).Str("where", r.Where).Str("reason", r.Cause).Str("remedy", r.Remedy)
		if n > 1 {
			line.Int("parts", n).Msg("parts of an archive cannot be read; this is the first, its report lists them all")
		} else {
			line.Msg("a part cannot be read")
		}
		rows = rows[n:]
	}
}

// concernsOf lists what the person should know of a part. A second warning of
// the same kind is one of its own.
func concernsOf(o outcome) []concern {
	if r := o.row.Refusal; r != nil {
		why := join(r.Where, r.Cause, r.Remedy) // which is what a report keeps of it
		return []concern{{What: codeUnreadable + " " + digest(why), Text: "cannot be read: " + why}}
	}
	var all []concern
	times := map[string]int{}
	for _, w := range o.row.Findings.Warnings {
		if w.Level != analysis.LevelWarning {
			continue
		}
		c := concern{What: w.Code, Text: impersonalText(w)}
		if times[w.Code]++; times[w.Code] > 1 {
			c.What = fmt.Sprintf("%s %d", w.Code, times[w.Code])
		}
		all = append(all, c)
	}
	return all
}

// settle makes now all that concerns the person about something in a folder,
// and has what is new or over said, in the log and on the desktop.
func (d *daemon) settle(f *folder, about string, now []concern, begins, ends func(concern)) {
	begun, ended := f.raised.settle(about, now)
	for _, c := range begun {
		begins(c)
	}
	for _, c := range ended {
		ends(c)
	}
	d.show(f, begun, ended)
}

// show puts what is new on the desktop, unless suit.toml wants none of it.
func (d *daemon) show(f *folder, begun, ended []concern) {
	if !f.asked.Suit.Watch.Notify {
		begun = nil
	}
	d.bubbles.tell(f.root, begun, ended, f.raised.none())
}

// sayConfig says which TOML files cannot be used, and which can again. What is
// wrong is not quoted from wearer.toml: the log holds no measures.
func (d *daemon) sayConfig(f *folder) {
	for _, file := range []string{"suit.toml", "wearer.toml", "logbook.toml"} {
		var now []concern
		for _, k := range f.kept {
			if k.File == file {
				now = append(now, concern{What: digest(k.Errs.Error()), Text: "cannot be used; " + inForce(k)})
			}
		}
		d.settle(f, file, now, func(concern) {
			for _, k := range f.kept {
				if k.File == file {
					d.log.Error().Str("event", "config_broken").Str("file", file).Strs("reason", faults(k)).Str("kept", inForce(k)).Msg("a TOML file cannot be used; its last good values stay in force")
				}
			}
		}, func(concern) {
			if len(now) == 0 {
				d.log.Info().Str("event", "config_mended").Str("file", file).Msg("a TOML file can be used again")
			}
		})
	}
}

// inForce says what holds instead of a file that cannot be used.
func inForce(k config.Kept) string {
	if k.Read.IsZero() {
		return "the defaults are in force"
	}
	return k.Values() + " stay in force"
}

// faults says what is wrong with a TOML file, for the log.
func faults(k config.Kept) []string {
	var all []string
	for _, e := range k.Errs {
		said := e.Error()
		if k.File == "wearer.toml" && e.Line > 0 {
			said = fmt.Sprintf("%s:%d:%d: see SUIT.md", e.File, e.Line, e.Column)
		}
		all = append(all, said)
	}
	return all
}

// condition says what keeps the watcher from its best, when it begins and when
// it has ended.
func (d *daemon) condition(c watcher.Condition) {
	defer d.sumUp()
	if !c.Begins {
		if d.watched.end(c.Path, string(c.Kind)) {
			d.sayEnded(concern{About: c.Path, What: string(c.Kind)})
		}
		return
	}
	now := concern{About: c.Path, What: string(c.Kind), Text: join("", c.Text, c.Cure), Stops: c.Kind == watcher.RootMissing}
	if d.watched.begin(now) {
		d.log.Warn().Str("event", "condition").Str("kind", string(c.Kind)).Str("file", c.Path).Str("text", c.Text).Str("cure", c.Cure).AnErr("err", c.Err).Msg("watching is not at its best")
		if c.Kind != watcher.Overflow { // nothing is to be done about that
			now.About = filepath.Base(c.Path)
			d.bubbles.tell("watching", []concern{now}, nil, false)
		}
	}
}

func (d *daemon) sayEnded(c concern) {
	d.log.Info().Str("event", "condition_ended").Str("kind", c.What).Str("file", c.About).Msg("watching is as it should be again")
	over := c
	over.About = filepath.Base(c.About)
	d.bubbles.tell("watching", nil, []concern{over}, d.watched.none())
}

// reconcile ends the conditions that an earlier daemon left and that hold no
// more.
func (d *daemon) reconcile() {
	holds := map[[2]string]bool{}
	for _, c := range d.watcher.Status().Conditions {
		holds[[2]string{c.Path, string(c.Kind)}] = true
	}
	for _, c := range d.watched.all() {
		if !holds[[2]string{c.About, c.What}] && d.watched.end(c.About, c.What) {
			d.sayEnded(c)
		}
	}
}

// heedWishes does what the person asks of the running daemon.
func (d *daemon) heedWishes(ctx context.Context) {
	again, more, forget := machine.Wishes()
	defer forget()
	usual := d.out.gate.level()
	for {
		select {
		case <-ctx.Done():
			d.service.stopping()
			stopped(&d.due)
			return
		case <-again:
			d.service.reloading()
			d.log.Info().Str("event", "reload").Msg("reading the TOML files and looking through everything again")
			d.service.ready() // of what is still to be looked into, status tells
			d.reloadAll(ctx)
		case <-more:
			d.log.Info().Str("event", "log_level").Str("now", d.out.gate.toggle(usual).String()).Msg("the log says more, or less again")
		}
	}
}

// sound tells whether the daemon gets on: its loops answer, and the present
// work is not overdue.
func (d *daemon) sound(ctx context.Context) bool {
	if due := d.due.Load(); due != nil && time.Now().After(due.at) {
		return false
	}
	return d.watcher.Prove(ctx)
}
