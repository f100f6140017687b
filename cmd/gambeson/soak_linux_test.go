package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/adrg/xdg"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// For hand: go test ./cmd/gambeson -run Soak -timeout 0 -operations 10000 -soakseed 7
var (
	operations = flag.Int("operations", usualOperations, "how many operations TestSoak does")
	soakSeed   = flag.Uint64("soakseed", 19171205, "the seed of TestSoak's operations")
	soakGuard  = flag.Duration("soakguard", 5*time.Minute, "how long TestSoak waits for all to come to rest")
)

// TestSoak does what a person, a browser, a sync client and an editor do to a
// suit folder while the daemon is on it, at random. Every so often it lets
// all come to rest and compares the folder with a model of what must be true:
// each good mesh has a report of its present bytes, each bad one a refusal,
// each that went is marked gone in SUIT.md, and nothing of the person's has
// changed. The daemon's walk through the folder is an hour away: what it finds,
// it finds by events.
func TestSoak(t *testing.T) {
	s := newSoak(t, *soakSeed)
	s.start()
	for s.done < *operations {
		for range 1 + s.random.IntN(120) {
			s.anything()
		}
		s.closeAll()
		s.toRest()
		s.edited = map[string]bool{}
		for range s.random.IntN(4) {
			s.atRest()
		}
		if s.random.IntN(6) == 0 {
			s.startAgain()
		}
	}
	s.stop()
	t.Logf("seed %d: %d operations, %d times at rest, %d reports, %d refusals, %d parts at the end; slowest stop %v, slowest rest %v",
		*soakSeed, s.done, s.rests, s.log.count("reported"), s.log.count("unreadable"), len(s.model.rows()), s.slowestStop, s.slowestRest)
}

// soak is a person at work on a suit.
type soak struct {
	*model
	t       *testing.T
	random  *rand.Rand
	number  int
	done    int
	rests   int
	last    []string // what was done since the last rest
	writers []func() // of files that are still open, or half written
	busy    map[string]bool
	edited  map[string]bool // reports that the person has changed in this rest
	log     *soakLog
	stop    func()

	slowestStop, slowestRest time.Duration
}

func newSoak(t *testing.T, seed uint64) *soak {
	base := t.TempDir()
	state, runtime, cache := xdg.StateHome, xdg.RuntimeDir, xdg.CacheHome
	xdg.StateHome, xdg.RuntimeDir, xdg.CacheHome = t.TempDir(), t.TempDir(), t.TempDir()
	t.Cleanup(func() { xdg.StateHome, xdg.RuntimeDir, xdg.CacheHome = state, runtime, cache })
	for _, dir := range []string{suitDir, "outside"} {
		require.NoError(t, os.Mkdir(filepath.Join(base, dir), 0o755))
	}
	m := &model{base: base, files: map[string]content{}, links: map[string]string{}, notes: map[string]string{}, suits: []float64{220}}
	m.rest()
	return &soak{model: m, t: t, random: rand.New(rand.NewPCG(seed, 0)), busy: map[string]bool{}, log: &soakLog{counts: map[string]int{}}}
}

// soakLog reads what the daemon logs.
type soakLog struct {
	mu      sync.Mutex
	counts  map[string]int
	refused []string
	lines   []string // since the last rest
}

func (l *soakLog) Write(line []byte) (int, error) {
	var e struct{ Event, Level, File string }
	if err := json.Unmarshal(line, &e); err != nil {
		return 0, err
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.counts[e.Event]++
	if e.Event == "unreadable" {
		l.refused = append(l.refused, e.File)
	}
	l.lines = append(l.lines, strings.TrimSpace(string(line)))
	return len(line), nil
}

func (l *soakLog) count(event string) int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.counts[event]
}

// take returns what was refused since it was last called.
func (l *soakLog) take() []string {
	l.mu.Lock()
	defer l.mu.Unlock()
	refused := l.refused
	l.refused, l.lines = nil, nil
	return refused
}

// start puts the daemon on the suit.
func (s *soak) start() {
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	out := newConsole(io.Discard, s.log, "json", "info")
	go func() {
		ended <- attend(ctx, out, "watch", []string{s.abs(suitDir)}, pace{quiet: 200 * time.Millisecond, patience: time.Second, rescan: time.Hour}, nil)
	}()
	s.stop = sync.OnceFunc(func() {
		began := time.Now()
		cancel()
		if err := <-ended; err != nil {
			s.t.Error(err)
		}
		s.slowestStop = max(s.slowestStop, time.Since(began))
	})
	s.t.Cleanup(s.stop)
}

// startAgain stops the daemon, does something behind its back, and starts it.
func (s *soak) startAgain() {
	s.stop()
	for range s.random.IntN(20) {
		s.anything()
	}
	s.closeAll()
	for name := range s.known { // what left no report is forgotten
		p := s.place(name)
		if _, err := os.Stat(filepath.Join(p.Root, filepath.FromSlash(p.Under("findings.json")))); err != nil {
			delete(s.known, name)
		}
	}
	s.forgetSuit()
	s.did("start again")
	s.start()
	s.toRest()
}

func (s *soak) did(format string, args ...any) {
	s.last = append(s.last, fmt.Sprintf(format, args...))
}

// toRest waits until all is as it must be.
func (s *soak) toRest() {
	began := time.Now()
	look := time.NewTicker(100 * time.Millisecond)
	defer look.Stop()
	giveUp := time.After(*soakGuard)
	for err := s.wrong(); err != nil; err = s.wrong() {
		select {
		case <-look.C:
		case <-giveUp:
			s.t.Fatalf("after %d operations, seed %d: %v\nlast done:\n%s\nlogged:\n%s\n%s", s.done, *soakSeed, err, strings.Join(s.last, "\n"), strings.Join(s.log.lines, "\n"), s.told())
		}
	}
	for _, name := range s.log.take() {
		if !s.refusable(name) {
			s.t.Errorf("after %d operations, seed %d: %q was refused, and was never anything but whole\nlast done:\n%s", s.done, *soakSeed, name, strings.Join(s.last, "\n"))
		}
	}
	s.slowestRest = max(s.slowestRest, time.Since(began))
	s.rests++
	s.last = nil
	s.rest()
}

// told is how the daemon says that things stand.
func (s *soak) told() string {
	path, err := statePath(s.abs(suitDir))
	s.must(err)
	text, err := os.ReadFile(path)
	s.must(err)
	return fmt.Sprintf("links %q\n%s", s.links, text)
}

// refusable tells whether a part may have been refused since the last rest.
// The log cannot show names that are not UTF-8.
func (s *soak) refusable(part string) bool {
	file := suitDir + "/" + s.place(part).Part
	c, ok := s.rows()[part]
	return ok && c.bad != "" || s.mayBe[file] || strings.ContainsRune(part, '\ufffd')
}

// Folders and names of the suit: some of them are meant to give trouble.
var (
	soakFolders = []string{"", "a", "b", "a/in", "a/in/deep", "größe [x](y)"}
	soakNames   = []string{
		"plain.stl", "other.obj", "model.3mf", "UPPER.STL", "upper.stl", "kit.zip", "<b>&amp;_*x*.stl", "a|b `c`.stl",
		"bad\xff.stl", "new\nline.obj", "e\u0301.stl", "\u00e9.stl", strings.Repeat("long", 62) + "abc.stl",
	}
)

func pick[T any](random *rand.Rand, from []T) T { return from[random.IntN(len(from))] }

// folder picks a folder of the suit that is there.
func (s *soak) folder() string {
	dir := path.Join(suitDir, pick(s.random, soakFolders))
	if err := os.MkdirAll(s.abs(dir), 0o755); err != nil { // a link or file may be in the way
		return suitDir
	}
	return dir
}

// free picks the path of a file, there or not, that nobody is writing.
func (s *soak) free() string {
	for {
		if name := path.Join(s.folder(), pick(s.random, soakNames)); !s.busy[name] {
			return name
		}
	}
}

// have picks one of the person's meshes in the suit; "" where there is none.
func (s *soak) have() string {
	var names []string
	for _, name := range slices.Sorted(maps.Keys(s.files)) {
		if strings.HasPrefix(name, suitDir+"/") && !s.busy[name] && s.files[name].mesh() {
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		return ""
	}
	return pick(s.random, names)
}

// fresh makes content that was never there before.
func (s *soak) fresh(name string) content {
	s.number++
	isZip := path.Ext(name) == ".zip"
	switch n := s.random.IntN(10); {
	case isZip && n > 0:
		return archive(s.t, s.number)
	case isZip:
		return content{bytes: []byte("this is no archive"), bad: "not"}
	case n == 0 && path.Ext(name) != ".3mf":
		return nonsense(name, s.number)
	case n == 1 && path.Ext(name) == ".stl":
		return cutBar(s.t, s.number)
	}
	return bar(s.t, name, s.number)
}

// set notes what a file holds from now on.
func (s *soak) set(name string, c content) {
	delete(s.links, name)
	s.files[name] = c
	if !c.whole() {
		s.mayBe[name] = true
	}
}

// clear takes away what is at a path.
func (s *soak) clear(name string) {
	s.must(os.RemoveAll(s.abs(name)))
	delete(s.files, name)
	delete(s.links, name)
}

func (s *soak) must(err error) {
	s.t.Helper()
	require.NoError(s.t, err)
}

// closeAll lets every writer finish.
func (s *soak) closeAll() {
	for len(s.writers) > 0 {
		s.finishOne()
	}
}

func (s *soak) finishOne() {
	i := s.random.IntN(len(s.writers))
	finish := s.writers[i]
	s.writers = slices.Delete(s.writers, i, i+1)
	finish()
}

// later keeps a file from other operations until it is finished.
func (s *soak) later(name string, finish func()) {
	s.busy[name] = true
	s.writers = append(s.writers, func() { finish(); delete(s.busy, name) })
}

// anything does one thing.
func (s *soak) anything() {
	s.done++
	if len(s.rows()) > 14 && s.random.IntN(2) == 0 { // a suit of bearable size
		if name := s.have(); name != "" {
			s.did("remove %q", name)
			s.clear(name)
		}
		return
	}
	if len(s.writers) > 0 && s.random.IntN(3) == 0 {
		s.did("finish one")
		s.finishOne()
		return
	}
	ops := []func(){
		s.write, s.write, s.write, s.renameInto, s.renameInto, s.slowly, s.slowly, s.pausing, s.preallocated, s.mapped,
		s.download, s.remove, s.remove, s.rename, s.rename, s.copyFile, s.truncate, s.touch, s.changeMode, s.symlink,
		s.renameFolder, s.renameFolder, s.moveOut, s.moveIn, s.removeFolder, s.suitToml, s.suitToml, s.other, s.storm, s.swap,
	}
	pick(s.random, ops)()
}

func (s *soak) write() {
	name := s.free()
	c := s.fresh(name)
	s.did("write %q %s", name, c.told())
	s.unlink(name)
	s.must(os.WriteFile(s.abs(name), c.bytes, 0o644))
	s.set(name, c)
}

// unlink makes room for a file where a link is: writing would go through it.
func (s *soak) unlink(name string) {
	if _, link := s.links[name]; link {
		s.clear(name)
	}
}

func (c content) told() string {
	switch {
	case c.rows != nil:
		return fmt.Sprintf("archive of %d", len(c.rows))
	case c.bad != "":
		return "bad: " + c.bad
	}
	return fmt.Sprintf("bar of %.2f", c.good)
}

func (s *soak) renameInto() {
	name := s.free()
	c := s.fresh(name)
	s.did("rename into %q %s", name, c.told())
	temp := s.abs(path.Join("outside", "coming"))
	if s.random.IntN(2) == 0 {
		temp = s.abs(path.Join(path.Dir(name), ".saving.tmp"))
	}
	s.must(os.WriteFile(temp, c.bytes, 0o644))
	s.must(os.Rename(temp, s.abs(name)))
	s.set(name, c)
}

// slowly writes in pieces and keeps the file open.
func (s *soak) slowly() {
	name := s.free()
	c := s.fresh(name)
	s.did("begin %q %s", name, c.told())
	s.clear(name)
	f, err := os.Create(s.abs(name))
	s.must(err)
	half := s.random.IntN(len(c.bytes))
	_, err = f.Write(c.bytes[:half])
	s.must(err)
	s.later(name, func() {
		_, err := f.Write(c.bytes[half:])
		s.must(err)
		s.must(f.Close())
		s.finished(name, c)
	})
}

// finished notes that a file that was begun is whole, wherever it is now: its
// folder may have moved meanwhile, but then its writers were let finish first.
func (s *soak) finished(name string, c content) { s.set(name, c) }

// pausing opens the file anew for the second half.
func (s *soak) pausing() {
	name := s.free()
	c := s.fresh(name)
	s.did("half of %q %s", name, c.told())
	s.clear(name)
	half := s.random.IntN(len(c.bytes))
	s.must(os.WriteFile(s.abs(name), c.bytes[:half], 0o644))
	s.mayBe[name] = true // patience may run out
	s.later(name, func() {
		f, err := os.OpenFile(s.abs(name), os.O_WRONLY|os.O_APPEND, 0)
		s.must(err)
		_, err = f.Write(c.bytes[half:])
		s.must(err)
		s.must(f.Close())
		s.finished(name, c)
	})
}

// preallocated has its full size from the start.
func (s *soak) preallocated() {
	name := s.free()
	c := s.fresh(name)
	s.did("preallocate %q %s", name, c.told())
	s.clear(name)
	f, err := os.Create(s.abs(name))
	s.must(err)
	s.must(unix.Fallocate(int(f.Fd()), 0, 0, int64(len(c.bytes))))
	half := s.random.IntN(len(c.bytes))
	_, err = f.Write(c.bytes[:half])
	s.must(err)
	s.later(name, func() {
		_, err := f.Write(c.bytes[half:])
		s.must(err)
		s.must(f.Close())
		s.finished(name, c)
	})
}

// mapped writes through memory after the file was closed.
func (s *soak) mapped() {
	name := s.free()
	c := s.fresh(name)
	s.did("map %q %s", name, c.told())
	s.clear(name)
	f, err := os.Create(s.abs(name))
	s.must(err)
	s.must(f.Truncate(int64(len(c.bytes))))
	memory, err := unix.Mmap(int(f.Fd()), 0, len(c.bytes), unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
	s.must(err)
	s.must(f.Close())
	s.later(name, func() {
		copy(memory, c.bytes)
		s.must(unix.Munmap(memory))
		s.finished(name, c)
	})
}

// download is what a browser does: a placeholder, a file beside it, a rename.
func (s *soak) download() {
	name := s.free()
	c := s.fresh(name)
	s.did("download %q %s", name, c.told())
	s.clear(name)
	s.must(os.WriteFile(s.abs(name), nil, 0o644))
	s.mayBe[name] = true // the placeholder's patience may run out
	part := path.Join(path.Dir(name), fmt.Sprintf("%d.part", s.number))
	s.must(os.WriteFile(s.abs(part), c.bytes[:len(c.bytes)/2], 0o644))
	s.busy[part] = true
	s.later(name, func() {
		s.must(os.WriteFile(s.abs(part), c.bytes, 0o644))
		s.must(os.Rename(s.abs(part), s.abs(name)))
		delete(s.busy, part)
		s.finished(name, c)
	})
}

func (s *soak) remove() {
	if name := s.have(); name != "" {
		s.did("remove %q", name)
		s.clear(name)
	}
}

func (s *soak) rename() {
	from, to := s.have(), s.free()
	if from == "" || from == to || path.Ext(from) != path.Ext(to) {
		return
	}
	s.did("rename %q to %q", from, to)
	s.must(os.Rename(s.abs(from), s.abs(to)))
	c := s.files[from]
	delete(s.files, from)
	s.set(to, c)
}

func (s *soak) copyFile() {
	from, to := s.have(), s.free()
	if from == "" || from == to || path.Ext(from) != path.Ext(to) {
		return
	}
	s.did("copy %q to %q", from, to)
	s.unlink(to)
	s.must(os.WriteFile(s.abs(to), s.files[from].bytes, 0o644))
	s.set(to, s.files[from])
}

// swap lets two files change places.
func (s *soak) swap() {
	a, b := s.have(), s.have()
	if a == "" || a == b || path.Ext(a) != path.Ext(b) {
		return
	}
	s.did("swap %q and %q", a, b)
	s.must(unix.Renameat2(unix.AT_FDCWD, s.abs(a), unix.AT_FDCWD, s.abs(b), unix.RENAME_EXCHANGE))
	ca, cb := s.files[a], s.files[b]
	s.set(a, cb)
	s.set(b, ca)
}

// truncate leaves a binary STL short of some facets.
func (s *soak) truncate() {
	name := s.have()
	if name == "" || !bytes.HasPrefix(s.files[name].bytes, []byte("bar\x00")) {
		return
	}
	facets := s.random.IntN(12)
	n := int64(84 + 50*facets)
	if n >= int64(len(s.files[name].bytes)) {
		return
	}
	s.did("cut %q to %d facets", name, facets)
	s.must(os.Truncate(s.abs(name), n))
	s.set(name, content{bytes: s.files[name].bytes[:n:n], bad: fmt.Sprintf("holds %d", facets)})
}

func (s *soak) touch() {
	if name := s.have(); name != "" {
		s.did("touch %q", name)
		at := time.Date(pick(s.random, []int{1999, 2024, 2099}), 1, 2, 3, 4, 5, s.random.IntN(1e9), time.UTC)
		s.must(os.Chtimes(s.abs(name), at, at))
	}
}

func (s *soak) changeMode() {
	if name := s.have(); name != "" {
		s.did("change the mode of %q", name)
		s.must(os.Chmod(s.abs(name), pick(s.random, []os.FileMode{0o600, 0o644, 0o755})))
	}
}

func (s *soak) symlink() {
	name, to := s.free(), s.have()
	if path.Ext(to) != path.Ext(name) {
		return
	}
	target := pick(s.random, []string{"nowhere.stl", ".", "..", path.Base(name), s.abs("outside"), s.abs(to), s.abs(to)})
	s.did("link %q to %q", name, target)
	s.clear(name)
	s.must(os.Symlink(target, s.abs(name)))
	s.links[name] = target
	s.mayBe[name] = true // whatever is there, also when the link is gone again
}

// moveAll notes that a folder is now called otherwise.
func (s *soak) moveAll(from, to string) {
	s.moved = true
	move(s.files, from, to)
	move(s.links, from, to)
	move(s.notes, from, to)
	for name := range s.files {
		if strings.HasPrefix(name, to+"/") && !s.files[name].whole() {
			s.mayBe[name] = true
		}
	}
	s.linksMayBe()
}

func move[V any](m map[string]V, from, to string) {
	for _, name := range slices.Sorted(maps.Keys(m)) {
		if rest, below := strings.CutPrefix(name, from+"/"); below {
			v := m[name]
			delete(m, name)
			m[to+"/"+rest] = v
		}
	}
}

func (s *soak) drop(dir string) {
	for name := range s.files {
		if strings.HasPrefix(name, dir+"/") {
			delete(s.files, name)
		}
	}
	for name := range s.links {
		if strings.HasPrefix(name, dir+"/") {
			delete(s.links, name)
		}
	}
	for name := range s.notes {
		if strings.HasPrefix(name, dir+"/") {
			delete(s.notes, name)
		}
	}
}

func (s *soak) renameFolder() {
	from, to := s.folder(), path.Join(s.folder(), pick(s.random, []string{"a", "b", "in"}))
	if from == suitDir || strings.HasPrefix(to+"/", from+"/") || strings.HasPrefix(from+"/", to+"/") {
		return
	}
	s.closeAll()
	s.did("rename folder %q to %q", from, to)
	s.removeAll(to)
	s.must(os.Rename(s.abs(from), s.abs(to)))
	s.moveAll(from, to)
}

// removeAll deletes a folder into which the daemon may be writing.
func (s *soak) removeAll(dir string) {
	for tries := 0; ; tries++ {
		err := os.RemoveAll(s.abs(dir))
		if err == nil {
			break
		}
		if tries > 100 {
			s.must(err)
		}
	}
	s.drop(dir)
}

func (s *soak) moveOut() {
	dir := s.folder()
	if dir == suitDir {
		return
	}
	s.closeAll()
	to := path.Join("outside", fmt.Sprint(s.random.IntN(3)))
	s.did("move folder %q out to %q", dir, to)
	s.removeAll(to)
	s.must(os.Rename(s.abs(dir), s.abs(to)))
	s.moveAll(dir, to)
}

func (s *soak) moveIn() {
	from := path.Join("outside", fmt.Sprint(s.random.IntN(3)))
	to := path.Join(s.folder(), pick(s.random, []string{"a", "b", "in"}))
	if _, err := os.Stat(s.abs(from)); err != nil {
		return
	}
	s.closeAll()
	s.did("move folder %q in to %q", from, to)
	s.removeAll(to)
	s.must(os.Rename(s.abs(from), s.abs(to)))
	s.moveAll(from, to)
}

func (s *soak) removeFolder() {
	if dir := s.folder(); dir != suitDir && s.random.IntN(2) == 0 {
		s.closeAll()
		s.did("remove folder %q", dir)
		s.removeAll(dir)
	}
}

// suitToml writes suit.toml: good, broken, empty, or not at all.
func (s *soak) suitToml() {
	const name = suitDir + "/suit.toml"
	width := 160 + float64(s.random.IntN(200))*0.5
	text := fmt.Sprintf("[printer]\nbed = [%.1f, %.1f]\n", width, width)
	good := s.random.IntN(3) > 0
	switch {
	case good:
		s.suits, s.kept, s.doubt, s.goodOnes = append(s.suits, width), false, false, true
	case s.random.IntN(2) == 0:
		text = pick(s.random, []string{"[printer]\nbedd = [1, 2]\n", "[printer\n", "\x00\x01"})
		s.kept, s.doubt = true, false
	default: // what is gone or empty is missed only where it has said something
		text = ""
		s.kept, s.doubt = s.read, !s.read && s.goodOnes
		if s.random.IntN(2) == 0 {
			s.did("remove suit.toml")
			s.clear(name)
			return
		}
	}
	s.did("suit.toml %q", text)
	if s.random.IntN(2) == 0 {
		temp := s.abs(suitDir + "/.suit.toml.tmp")
		s.must(os.WriteFile(temp, []byte(text), 0o644))
		s.must(os.Rename(temp, s.abs(name)))
	} else {
		s.must(os.WriteFile(s.abs(name), []byte(text), 0o644))
	}
	s.files[name] = content{bytes: []byte(text)}
}

// other writes something that is no business of ours.
func (s *soak) other() {
	name := path.Join(s.folder(), pick(s.random, []string{"photo.jpg", "notes.txt", "half.stl.part", ".hidden.stl", "x.stl.swp"}))
	s.did("write %q", name)
	s.number++
	c := content{bytes: fmt.Appendf(nil, "other %d", s.number)}
	s.must(os.WriteFile(s.abs(name), c.bytes, 0o644))
	s.files[name] = c
}

// storm saves one file over and over.
func (s *soak) storm() {
	name := s.free()
	s.did("storm on %q", name)
	s.unlink(name)
	for range 20 {
		c := s.fresh(name)
		s.must(os.WriteFile(s.abs(name), c.bytes, 0o644))
		s.set(name, c)
	}
}

// atRest does what would race with the daemon where it is at work: it edits or
// deletes a report, then touches the mesh, so that it is looked into again.
func (s *soak) atRest() {
	name := s.have()
	c, there := s.files[name]
	if !there || !c.mesh() || c.rows != nil || !accept(s.abs(name)) {
		return
	}
	md := suitDir + "/" + s.place(strings.TrimPrefix(name, suitDir+"/")).Report()
	if s.edited[md] {
		return
	}
	s.edited[md] = true
	s.done++
	switch s.random.IntN(4) {
	case 0, 1:
		note := fmt.Sprintf("\nnote %d: tried on, *good*\n", s.done)
		f, err := os.OpenFile(s.abs(md), os.O_WRONLY|os.O_APPEND, 0)
		s.must(err)
		_, err = f.WriteString(note)
		s.must(err)
		s.must(f.Close())
		s.notes[md] += note
		s.did("note below %q", name)
	case 2:
		s.did("delete the report of %q", name)
		s.must(os.Remove(s.abs(md)))
		delete(s.notes, md)
	case 3:
		s.did("edit the report of %q", name)
		text, err := os.ReadFile(s.abs(md))
		s.must(err)
		s.must(os.WriteFile(s.abs(md), bytes.Replace(text, []byte("the"), []byte("THE"), 1), 0o644))
	}
	now := time.Now()
	s.must(os.Chtimes(s.abs(name), now, now))
}
