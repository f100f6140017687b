package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"gambeson/analysis"
	"gambeson/config"
)

// state is what a daemon lets others know about one folder. It lies in the
// state folder, and is written when something happened, never when idle.
type state struct {
	holder
	Handling   string   `json:"handling,omitempty"` // the part being looked into
	Queued     int      `json:"queued"`
	Waiting    []string `json:"waiting,omitempty"` // files that are still being written, with the reason
	Conditions []string `json:"conditions,omitempty"`
	Parts      int      `json:"parts"`
	Unreadable int      `json:"unreadable"`
	Problems   []string `json:"problems,omitempty"` // TOML files that cannot be used
	Warnings   []string `json:"warnings,omitempty"`
}

func statePath(root string) (string, error) {
	dir, err := stateDir()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, folderKey(root)+".json"), nil
}

// writeState tells how things stand in f. It is a courtesy: where it cannot be
// written the daemon goes on.
func (d *daemon) writeState(f *folder) {
	s := state{holder: holder{PID: os.Getpid(), Command: d.command, Root: f.root, Since: d.started}, Handling: f.handling}
	if d.watcher != nil {
		now := d.watcher.Status()
		s.Queued = now.Queued
		for _, w := range now.Waiting {
			s.Waiting = append(s.Waiting, w.Path+": "+w.Why)
		}
		for _, c := range now.Conditions {
			s.Conditions = append(s.Conditions, join(c.Path, c.Text, c.Cure))
		}
	}
	f.tell(&s)
	path, err := statePath(f.root)
	if err == nil {
		err = replace(path, s)
	}
	if err != nil {
		d.log.Debug().Str("event", "state_failed").Err(err).Msg("cannot write the state file")
	}
}

// tell fills in what is known of the parts.
func (f *folder) tell(s *state) {
	for _, k := range f.kept {
		s.Problems = append(s.Problems, k.String())
	}
	for _, r := range f.allRows() {
		s.Parts++
		if r.Findings == nil {
			s.Unreadable++
			if r.Refusal != nil {
				s.Warnings = append(s.Warnings, r.Place.Name()+": cannot be read: "+join(r.Refusal.Where, r.Refusal.Cause, r.Refusal.Remedy))
			}
			continue
		}
		for _, w := range r.Findings.Warnings {
			if w.Level == analysis.LevelWarning {
				s.Warnings = append(s.Warnings, r.Place.Name()+": "+w.Text)
			}
		}
	}
}

// replace writes v as JSON under another name and then renames it.
func replace(path string, v any) error {
	text, err := json.Marshal(v)
	if err != nil {
		return err
	}
	temp := fmt.Sprintf("%s.%d.tmp", path, os.Getpid())
	if err := os.WriteFile(temp, append(text, '\n'), 0o600); err != nil {
		return err
	}
	return os.Rename(temp, path)
}

type statusCmd struct {
	Dir string `arg:"" help:"The suit folder."`
}

func (c *statusCmd) Help() string {
	return `Exit status: 0 watched, 1 watched but not at its best, 3 not watched.`
}

// Exit codes of status, after the Linux Standard Base: 3 is "not running".
const (
	exitDegraded   = 1
	exitNotRunning = 3
)

// Run says what the daemon on the folder is doing.
func (c *statusCmd) Run(out *console) error {
	if info, err := os.Stat(c.Dir); err != nil || !info.IsDir() {
		return fail(exitNoInput, "no such folder: %s", c.Dir)
	}
	root := config.Root(c.Dir)
	lock, by, err := take(root, "status")
	switch {
	case errors.Is(err, errHeld):
	case err != nil:
		return err
	default:
		lock.release()
		say(out.out, "No daemon watches %s.", root)
		if s, err := readState(root); err == nil {
			s.say(out, false)
		}
		return &failure{code: exitNotRunning}
	}
	s, err := readState(root)
	if err != nil || s.PID != by.PID {
		say(out.out, "%s is in the hands of %s.", root, by)
		return nil
	}
	say(out.out, "%s is watched by %s.", root, by)
	s.say(out, true)
	if len(s.Conditions) > 0 {
		return &failure{code: exitDegraded}
	}
	return nil
}

func readState(root string) (state, error) {
	var s state
	path, err := statePath(root)
	if err != nil {
		return s, err
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return s, err
	}
	return s, json.Unmarshal(text, &s)
}

// say prints the state: what is going on only where the daemon runs.
func (s state) say(out *console, runs bool) {
	if runs {
		switch {
		case s.Handling != "":
			say(out.out, "Looking into %s; %d more to come.", s.Handling, s.Queued)
		case s.Queued > 0:
			say(out.out, "%d files are coming to rest.", s.Queued)
		default:
			say(out.out, "Nothing to do.")
		}
		list(out, "Still being written:", s.Waiting)
		list(out, "Watching is not at its best:", s.Conditions)
	}
	say(out.out, "%d parts, %d of them not readable.", s.Parts, s.Unreadable)
	list(out, "TOML files that cannot be used:", s.Problems)
	list(out, "Warnings:", s.Warnings)
}

func list(out *console, title string, items []string) {
	if len(items) == 0 {
		return
	}
	say(out.out, "%s", title)
	const shown = 20
	for _, i := range items[:min(len(items), shown)] {
		say(out.out, "  - %s", i)
	}
	if more := len(items) - shown; more > 0 {
		say(out.out, "  and %d more: see SUIT.md", more)
	}
}
