package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"time"

	"gambeson/cmd/gambeson/machine"
	"gambeson/cmd/gambeson/store"
	"gambeson/config"
)

// state is what a daemon lets others know about one folder, and its next self.
// It lies in the state folder, and is written when something happened, never
// when idle.
type state struct {
	store.Holder
	Written    time.Time       `json:"written"`
	Folders    int             `json:"folders"` // watched, in all suits of the daemon
	Polled     int             `json:"polled"`  // of the folders: those without events
	Files      int             `json:"files"`
	Queued     int             `json:"queued"`
	Waiting    []string        `json:"waiting,omitempty"`    // files that are still being written, with the reason
	Conditions []string        `json:"conditions,omitempty"` // why watching is not at its best
	Overflows  int             `json:"overflows"`            // how often events were lost
	LastEvent  time.Time       `json:"last_event,omitzero"`
	LastScan   time.Time       `json:"last_scan,omitzero"`
	ScanMS     int64           `json:"scan_ms"`
	Parts      int             `json:"parts"`
	Unreadable int             `json:"unreadable"`
	Problems   []string        `json:"problems,omitempty"`  // TOML files that cannot be used
	Unwritten  []string        `json:"unwritten,omitempty"` // reports that could not be written, with the reason
	Warnings   []string        `json:"warnings,omitempty"`
	Limits     limitsKnown     `json:"limits"`
	Concerns   []concern       `json:"concerns,omitempty"` // what was said to the person and holds
	Watched    []concern       `json:"watched,omitempty"`  // the same of the watching itself
	Ends       map[string]ends `json:"ends,omitempty"`     // parts on which a daemon ended
}

// limitsKnown are the bounds on this machine.
type limitsKnown struct {
	Memory    int64 `json:"memory_bytes"` // 0 where not known
	Triangles int   `json:"triangles"`    // most in one part
}

func statePath(root string) (string, error) {
	dir, err := store.Dir()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, store.Key(root)+".json"), nil
}

// writeState tells how things stand in f. It is a courtesy: where it cannot be
// written the daemon goes on.
func (d *daemon) writeState(f *folder) {
	s := state{Holder: store.Holder{PID: os.Getpid(), Command: d.command, Root: f.root, Since: d.started}, Written: time.Now()}
	if d.watcher != nil {
		now := d.watcher.Status()
		s.Folders, s.Polled, s.Files, s.Queued, s.Overflows = now.Folders, now.Polled, now.Files, now.Queued, now.Overflows
		s.LastEvent, s.LastScan, s.ScanMS = now.LastEvent, now.LastScan, now.ScanTook.Milliseconds()
		for _, w := range now.Waiting {
			s.Waiting = append(s.Waiting, w.Path+": "+w.Why)
		}
		for _, c := range now.Conditions {
			s.Conditions = append(s.Conditions, join(c.Path, c.Text, c.Cure))
		}
	}
	for _, c := range d.held.all() {
		s.Conditions = append(s.Conditions, c.Text)
	}
	s.Limits.Memory = machine.Memory()
	s.Limits.Triangles = machine.Limits(s.Limits.Memory).Triangles
	s.Concerns, s.Watched = f.raised.all(), d.watched.all()
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
	for _, part := range slices.Sorted(maps.Keys(f.unwritten)) {
		s.Unwritten = append(s.Unwritten, part+": "+f.unwritten[part].why.Error())
	}
	if f.ledger != nil {
		s.Ends = f.ledger.ends
	}
	for _, r := range f.allRows() {
		s.Parts++
		if r.Refusal != nil {
			s.Unreadable++
			s.Warnings = append(s.Warnings, r.Place.Name()+": cannot be read: "+join(r.Refusal.Where, r.Refusal.Cause, r.Refusal.Remedy))
			continue
		}
		if r.warned && r.warnings == nil {
			r.recalled()
		}
		for _, text := range r.warnings {
			s.Warnings = append(s.Warnings, r.Place.Name()+": "+text)
		}
	}
}

// replace writes v as JSON under another name and then renames it.
func replace(path string, v any) error {
	text, err := json.Marshal(v)
	if err != nil {
		return err
	}
	temp := path + ".tmp" // who holds the folder is alone
	if err := os.WriteFile(temp, append(text, '\n'), 0o600); err != nil {
		return err
	}
	return os.Rename(temp, path)
}

type statusCmd struct {
	JSON bool   `name:"json" help:"Print it as one JSON object."`
	Dir  string `arg:"" help:"The suit folder."`
}

func (c *statusCmd) Help() string {
	return `Exit status: 0 watched, 1 watched but not at its best (some folder is polled, missing or held by another, a TOML file cannot be used, or reports cannot be written), 3 not watched.`
}

// Exit codes of status, after the Linux Standard Base: 3 is "not running".
const (
	exitDegraded   = 1
	exitNotRunning = 3
)

// standing is a state as status tells it.
type standing struct {
	Running  bool   `json:"running"`
	Degraded bool   `json:"degraded"`
	Handling string `json:"handling,omitempty"` // the part being looked into
	Uptime   int64  `json:"uptime_s"`
	Resident int64  `json:"rss_bytes,omitempty"`
	state
}

// Run says what the daemon on the folder is doing.
func (c *statusCmd) Run(out *console) error {
	if info, err := os.Stat(c.Dir); err != nil || !info.IsDir() {
		return fail(exitNoInput, "no such folder: %s", c.Dir)
	}
	now, err := standingOf(config.Root(c.Dir))
	if err != nil {
		return err
	}
	if c.JSON {
		text, err := json.MarshalIndent(now, "", "  ")
		if err != nil {
			return err
		}
		fmt.Fprintln(out.out, string(text))
	} else {
		now.say(out)
	}
	switch {
	case !now.Running:
		return &failure{code: exitNotRunning}
	case now.Degraded:
		return &failure{code: exitDegraded}
	}
	return nil
}

// standingOf tells how things stand in a folder. A state file alone does not
// make a daemon: only who holds the lock runs.
func standingOf(root string) (standing, error) {
	by, held, err := store.Holding(root)
	if err != nil {
		return standing{}, err
	}
	s, err := readState(by.Of(root))
	if err != nil || held && s.PID != by.PID {
		s = state{Holder: by} // it has said nothing yet
	}
	s.Root = by.Of(root)
	now := standing{Running: held, state: s}
	if !held { // the files may have been changed since
		now.Problems = nil
		_, kept := config.NewKeeper(s.Root).Load(time.Now())
		for _, k := range kept {
			now.Problems = append(now.Problems, k.Errs.Error())
		}
	}
	if held {
		now.Degraded = len(s.Conditions)+len(s.Problems)+len(s.Unwritten) > 0
		now.Uptime = int64(time.Since(s.Since).Seconds())
		now.Resident = resident(s.PID)
		if path, err := statePath(s.Root); err == nil {
			w, _ := (&ledger{path: workingPath(path)}).read()
			now.Handling = w.Part
		}
	}
	return now, nil
}

// resident is how many bytes of memory a process has, 0 where the system does
// not tell.
func resident(pid int) int64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/statm", pid)) // proc_pid_statm(5): pages, the second those resident
	var size, pages int64
	if err == nil {
		_, err = fmt.Sscan(string(text), &size, &pages)
	}
	if err != nil {
		return 0
	}
	return pages * int64(os.Getpagesize())
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
	err = json.Unmarshal(text, &s)
	for i, c := range s.Concerns {
		s.Concerns[i].About = nameFrom(c.About, c.Raw)
	}
	for part, e := range maps.Clone(s.Ends) {
		if e.Raw != "" {
			delete(s.Ends, part)
			s.Ends[nameFrom(part, e.Raw)] = e
		}
	}
	return s, err
}

// say prints it: what is going on only where the daemon runs.
func (s standing) say(out *console) {
	if s.Running {
		say(out.out, "%s is watched by %s.", s.Root, s.Holder)
		s.sayProblems(out)
		switch {
		case s.Handling != "":
			say(out.out, "Looking into %s; %d more to come.", s.Handling, s.Queued)
		case s.Queued > 0:
			say(out.out, "Waiting for %s to come to rest.", things(s.Queued, "file"))
		default:
			say(out.out, "Every file was looked into.")
		}
		list(out, "Still being written:", s.Waiting)
		list(out, "Watching is not at its best:", s.Conditions)
	} else {
		say(out.out, "No daemon watches %s.", s.Root)
		s.sayProblems(out)
	}
	if s.Written.IsZero() { // no daemon has counted the parts
		return
	}
	say(out.out, "%s, of which %d cannot be read.", things(s.Parts, "part"), s.Unreadable)
	list(out, "Reports that could not be written:", s.Unwritten)
	list(out, "Warnings:", s.Warnings)
}

// sayProblems says which TOML files cannot be used, before all that goes by them.
func (s standing) sayProblems(out *console) {
	list(out, "TOML files that cannot be used; all that is said below, in SUIT.md and in the reports goes by what they said before. Mend them first:", s.Problems)
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
