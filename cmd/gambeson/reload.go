package main

import "context"

// reload reads the TOML files of a folder again and has every part of it
// looked into once more: those whose question did not change are kept.
func (d *daemon) reload(ctx context.Context, f *folder, root string) {
	if d.reread(ctx, f) && (d.seen == nil || len(f.rows) > 0) { // else every part is still to come
		d.watcher.Rescan(root)
	}
}

// reread reads the TOML files again, and judges anew where they ask something
// else than before.
func (d *daemon) reread(ctx context.Context, f *folder) (otherwise bool) {
	before := f.asking
	f.reload()
	f.keepGood()
	d.sayConfig(f)
	if f.asking == before && before != (digestOf{}) {
		return false
	}
	if renewed := f.judgeAnew(ctx); len(renewed) > 0 {
		d.sumOrSay(f)
		d.log.Info().Str("event", "judged_anew").Int("parts", len(renewed)).Msg("the verdicts are new; bands and pictures follow")
		f.pagesAnew(ctx, renewed)
	}
	return true
}

// peekSoon has the TOML files peeked into as soon as whoever looks into a part
// waits for it.
func (d *daemon) peekSoon() {
	select {
	case d.edited <- struct{}{}:
	default:
	}
}

// peek says of TOML files that cannot be used, while a part is at work. It is called
// by whoever looks into that, so that all it looks at is theirs; what was changed
// well is taken up afterwards.
func (d *daemon) peek() {
	for _, f := range d.folders {
		if !f.peek() {
			continue
		}
		d.sayConfig(f)
		if !d.walked {
			continue // what is known of the parts is from before
		}
		if _, err := f.sumAtWork(f.toCome()); err == nil { // else it is said with the next summary
			d.writeState(f)
		}
	}
}

// reloadAll reads all TOML files again and has every part looked into.
func (d *daemon) reloadAll(ctx context.Context) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, f := range d.folders {
		d.reread(ctx, f)
	}
	d.watcher.Rescan()
}
