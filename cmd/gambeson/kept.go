package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"sync"

	"gambeson/analysis"
	"gambeson/cmd/gambeson/store"
	"gambeson/report"
	"gambeson/report/disk"
	"gambeson/report/paper"

	"github.com/adrg/xdg"
	"golang.org/x/sync/errgroup"
)

// What was found inside a part is kept in the account's cache folder, so that
// new measures of the wearer are judged at once; bands and pictures follow when
// the part is looked into again. What is missing there, or torn, costs only
// that time.

// keptPath is where the geometry of a part is kept.
func keptPath(place disk.Place) string {
	root := sha256.Sum256([]byte(place.Root))
	name := sha256.Sum256([]byte(place.Name()))
	return filepath.Join(xdg.CacheHome, "gambeson", hex.EncodeToString(root[:8]), hex.EncodeToString(name[:8])+".json")
}

// keep keeps the geometry of a part that was looked into. A fault is said in
// the log only.
func (f *folder) keep(place disk.Place, brief analysis.Brief, k *analysis.Kept, found *analysis.Findings) {
	if f.readOnly {
		return
	}
	path := keptPath(place)
	if k == nil {
		os.Remove(path) // of an earlier question
		return
	}
	err := k.Seal(brief, version, found)
	var data []byte
	if err == nil {
		data, err = json.Marshal(k)
	}
	if err == nil {
		err = store.Replace(path, data)
	}
	if err != nil {
		f.log.Debug().Str("event", "keep_failed").Str("file", place.Name()).AnErr("err", err).Msg("cannot keep what was found inside a part")
	}
}

// judgeAnew puts the verdict on the wearer as the TOML files have it now into
// every report whose geometry is kept and still answers what is asked. It
// returns which; their pages are still the earlier ones.
func (f *folder) judgeAnew(ctx context.Context) []disk.Place {
	if f.readOnly {
		return nil
	}
	var mu sync.Mutex
	var done []disk.Place
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(2 * runtime.GOMAXPROCS(0)) // some wait for the disk
	for _, rows := range f.rows {
		for i := range rows {
			r := &rows[i]
			if r.Refusal != nil || r.alone {
				continue
			}
			brief := f.brief(r.Place)
			group.Go(func() error {
				found, ok := judgedAnew(r.Place, brief)
				if !ok || ctx.Err() != nil {
					return ctx.Err()
				}
				if err := report.Renew(r.Place, found); err != nil {
					f.log.Debug().Str("event", "write_failed").Str("file", r.Place.Name()).Err(err).Msg("cannot put a new verdict into a report; it follows when the part is looked into")
					return nil
				}
				r.take(&found)
				r.fingerprint, r.lay = found.Fingerprint, digestOf{} // it is to be looked into
				mu.Lock()
				done = append(done, r.Place)
				mu.Unlock()
				return nil
			})
		}
	}
	group.Wait() // an error is that of ctx, which the caller sees itself
	return done
}

// pagesAnew makes the pages of reports anew.
func (f *folder) pagesAnew(ctx context.Context, places []disk.Place) {
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	for _, p := range places {
		group.Go(func() error {
			if ctx.Err() != nil {
				return nil // they are made again with their reports
			}
			if err := paper.RenewPage(p); err != nil {
				f.log.Debug().Str("event", "write_failed").Str("file", p.Name()).Err(err).Msg("cannot make a page anew; it follows when the part is looked into")
			}
			return nil
		})
	}
	group.Wait()
}

// judgedAnew judges one part; ok is false where the verdict at hand still holds,
// or nothing is kept of it.
func judgedAnew(place disk.Place, brief analysis.Brief) (found analysis.Findings, ok bool) {
	data, err := os.ReadFile(keptPath(place))
	if err != nil {
		return found, false
	}
	var k analysis.Kept
	geometry, err := analysis.Geometry(brief, version)
	if err != nil || json.Unmarshal(data, &k) != nil || k.Asked != geometry {
		return found, false
	}
	if worn, err := analysis.Worn(brief); err != nil || worn == k.Worn {
		if _, holds := paper.Fingerprint(place); holds {
			return found, false
		}
	}
	before := paper.Previous(place)
	if before == nil || before.Fingerprint != k.Fingerprint {
		return found, false
	}
	return k.Judge(before, brief)
}
