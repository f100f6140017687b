package main

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"gambeson/analysis"
	"gambeson/analysis/likeness"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"
	"gambeson/report"
	"gambeson/report/disk"

	"github.com/adrg/xdg"
	"github.com/stretchr/testify/require"
)

// The figures that the daemon has to reach, each with what the machine itself
// allows beside it, measured on the real program in the same run:
//
//	go test ./cmd/gambeson -run '^$' -bench Goal -benchtime 1x -timeout 0
var (
	goalParts     = flag.Int("goalparts", 10_000, "how many unchanged parts BenchmarkGoalRestart has")
	goalTriangles = flag.Int("goaltriangles", 2_000_000, "how many triangles the part of BenchmarkGoalPeak has, and twice as many as that of BenchmarkGoalStop")
	goalIdle      = flag.Duration("goalidle", time.Minute, "how long BenchmarkGoalIdle watches an idle daemon")
)

// process is the program at work on a folder of its own.
type process struct {
	b      *testing.B
	binary string
	suit   string
	env    []string

	cmd   *exec.Cmd
	began time.Time
	ended chan struct{} // closed when it has ended
	mu    sync.Mutex
	lines []logged
	news  chan struct{}
}

// logged is a line of the log with when it was read.
type logged struct {
	at          time.Time
	Event, File string
}

func newProcess(b *testing.B) *process {
	dir := b.TempDir()
	p := &process{b: b, binary: filepath.Join(dir, "gambeson"), suit: filepath.Join(dir, "suit"), news: make(chan struct{}, 1)}
	build := exec.Command("go", "build", "-o", p.binary, ".")
	out, err := build.CombinedOutput()
	require.NoError(b, err, string(out))
	p.env = os.Environ()
	for _, name := range []string{"XDG_STATE_HOME", "XDG_RUNTIME_DIR", "XDG_CACHE_HOME"} {
		p.env = append(p.env, name+"="+filepath.Join(dir, name))
		require.NoError(b, os.Mkdir(filepath.Join(dir, name), 0o700))
	}
	require.NoError(b, os.Mkdir(p.suit, 0o755))
	return p
}

// command is the program with arguments, in the process's own surroundings.
func (p *process) command(args ...string) *exec.Cmd {
	c := exec.Command(p.binary, args...)
	c.Env = p.env
	return c
}

// start starts the daemon and reads its log.
func (p *process) start() {
	p.cmd = p.command("watch", p.suit, "--log=json")
	stderr, err := p.cmd.StderrPipe()
	require.NoError(p.b, err)
	p.lines, p.ended = nil, make(chan struct{})
	p.began = time.Now()
	require.NoError(p.b, p.cmd.Start())
	ended := p.ended
	go func() {
		for scan := bufio.NewScanner(stderr); scan.Scan(); {
			l := logged{at: time.Now()}
			_ = json.Unmarshal(scan.Bytes(), &l)
			p.mu.Lock()
			p.lines = append(p.lines, l)
			p.mu.Unlock()
			select {
			case p.news <- struct{}{}:
			default:
			}
		}
		close(ended)
	}()
	p.b.Cleanup(func() { p.stop() })
}

// stop ends the daemon and returns how long that took.
func (p *process) stop() time.Duration {
	if p.cmd.ProcessState != nil {
		return 0
	}
	began := time.Now()
	require.NoError(p.b, p.cmd.Process.Signal(syscall.SIGTERM))
	<-p.ended
	if err := p.cmd.Wait(); err != nil {
		p.b.Error(err)
	}
	return time.Since(began)
}

// kill ends the daemon as a power cut does.
func (p *process) kill() {
	require.NoError(p.b, p.cmd.Process.Kill())
	<-p.ended
	_ = p.cmd.Wait() // it was killed
}

// logs waits for a line of the log, "" for any file.
func (p *process) logs(event, file string) logged {
	p.b.Helper()
	guard := time.After(10 * time.Minute)
	for {
		p.mu.Lock()
		for _, l := range p.lines {
			if l.Event == event && (file == "" || l.File == file) {
				p.mu.Unlock()
				return l
			}
		}
		p.mu.Unlock()
		select {
		case <-p.news:
		case <-guard:
			p.b.Fatalf("the log does not say %s of %q", event, file)
		}
	}
}

func (p *process) count(event string) (n int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, l := range p.lines {
		if event == "" || l.Event == event {
			n++
		}
	}
	return n
}

// until looks often until something is so.
func (p *process) until(what string, so func() bool) time.Time {
	p.b.Helper()
	look := time.NewTicker(5 * time.Millisecond)
	defer look.Stop()
	guard := time.After(20 * time.Minute)
	for !so() {
		select {
		case <-look.C:
		case <-guard:
			p.b.Fatalf("never came: %s", what)
		}
	}
	return time.Now()
}

// holds waits until a file holds a text (or, with not, no longer does).
func (p *process) holds(file, text string, not bool) time.Time {
	p.b.Helper()
	return p.until(fmt.Sprintf("%s with %q", file, text), func() bool {
		data, err := os.ReadFile(filepath.Join(p.suit, file))
		return err == nil && bytes.Contains(data, []byte(text)) != not
	})
}

// parts is how many parts the daemon knows, by the state that it keeps.
func (p *process) parts() int {
	files, _ := filepath.Glob(filepath.Join(filepath.Dir(p.suit), "XDG_STATE_HOME", "gambeson", "*.json"))
	for _, file := range files {
		var s state
		if text, err := os.ReadFile(file); err == nil && json.Unmarshal(text, &s) == nil {
			return s.Parts
		}
	}
	return 0
}

// atRest waits until the daemon has nothing to do: its processor time stands
// still for two seconds.
func (p *process) atRest() {
	p.b.Helper()
	look := time.NewTicker(2 * time.Second)
	defer look.Stop()
	for before := time.Duration(-1); ; {
		now := p.cpu()
		if now-before < 20*time.Millisecond && before >= 0 {
			return
		}
		before = now
		<-look.C
	}
}

// cpu is the processor time used so far: fields 14 and 15 of proc_pid_stat(5),
// in hundredths of a second.
func (p *process) cpu() time.Duration {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", p.cmd.Process.Pid))
	require.NoError(p.b, err)
	_, after, _ := strings.Cut(string(text), ") ")
	fields := strings.Fields(after)
	user, _ := strconv.Atoi(fields[11])
	system, _ := strconv.Atoi(fields[12])
	return time.Duration(user+system) * 10 * time.Millisecond
}

// number reads a value of a file below /proc/PID: "VmRSS:" of status in KiB.
func (p *process) number(file, name string) float64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/%s", p.cmd.Process.Pid, file))
	require.NoError(p.b, err)
	for line := range strings.Lines(string(text)) {
		if rest, ok := strings.CutPrefix(line, name); ok {
			n, _ := strconv.ParseFloat(strings.Fields(rest)[0], 64)
			return n
		}
	}
	p.b.Fatalf("%s has no %s", file, name)
	return 0
}

func (p *process) write(name string, data []byte) {
	path := filepath.Join(p.suit, name)
	require.NoError(p.b, os.MkdirAll(filepath.Dir(path), 0o755))
	temp := filepath.Join(filepath.Dir(p.suit), "new")
	require.NoError(p.b, os.WriteFile(temp, data, 0o644))
	require.NoError(p.b, os.Rename(temp, path))
}

func metric(b *testing.B, value float64, unit string) {
	b.ReportMetric(value, unit)
	b.ReportMetric(0, "ns/op")
}

// stl is a mesh as a binary STL file.
func stl(b *testing.B, m *mesh.Mesh) []byte {
	var out bytes.Buffer
	require.NoError(b, mesh.WriteSTL(&out, m, "bar"))
	return out.Bytes()
}

// dense is a greave of so many triangles as a binary STL file.
func (p *process) dense(triangles int) []byte {
	path := filepath.Join(p.b.TempDir(), "dense.stl")
	denseGreave(p.b, path, triangles/1000)
	data, err := os.ReadFile(path)
	require.NoError(p.b, err)
	return data
}

// standing fills a suit with parts that have their reports, as if they had been
// looked into: a bar is, the others get its findings with their own size.
func (p *process) standing(parts int) {
	p.write("model.stl", stl(p.b, shape.Bar{X: 60, Y: 15, Z: 10}.Mesh()))
	out, err := p.command("check", p.suit, "--json").Output()
	require.NoError(p.b, err)
	var like analysis.Findings
	require.NoError(p.b, json.Unmarshal(out, &like))
	state, runtime := xdg.StateHome, xdg.RuntimeDir
	xdg.StateHome, xdg.RuntimeDir = p.b.TempDir(), p.b.TempDir()
	defer func() { xdg.StateHome, xdg.RuntimeDir = state, runtime }()
	f := newFolder(p.suit, 1, newConsole(nil, os.Stderr, "json", "error").log)
	random := rand.New(rand.NewPCG(19171205, 0))
	for n := range parts {
		bar := shape.Bar{X: 40 + 100*random.Float64(), Y: 10 + 30*random.Float64(), Z: 5 + 5*random.Float64()}
		m := bar.Mesh()
		data := stl(p.b, m)
		place := disk.Place{Root: p.suit, Part: fmt.Sprintf("%03d/part-%d.stl", n/20, n)}
		p.write(place.Part, data)
		brief := f.asked.Brief(place.Name())
		brief.Calibration = f.calibration
		fingerprint, err := analysis.Fingerprint(sha256.Sum256(data), brief, version)
		require.NoError(p.b, err)
		findings, signature := like, likeness.Of(m, 1)
		size := *like.Mesh
		size.Bounds, size.Volume = [3]float64{bar.X, bar.Y, bar.Z}, bar.X*bar.Y*bar.Z
		size.Area = 2 * (bar.X*bar.Y + bar.Y*bar.Z + bar.Z*bar.X)
		findings.Part, findings.Fingerprint, findings.Shape, findings.Mesh = place.Name(), fingerprint, &signature, &size
		d := report.Document{Fingerprint: fingerprint}
		d.Findings, d.Brief = findings, brief
		require.NoError(p.b, report.Write(place, d))
	}
}

// A daemon that starts on parts of which none has changed since it was killed is
// ready within 1 s and looks into none of them; and goes on within that time when
// one did change. Before it, one looks at everything for the first time, with
// the reports at hand.
func BenchmarkGoalRestart(b *testing.B) {
	p := newProcess(b)
	p.standing(*goalParts)
	p.start()
	p.logs("ready", "")
	p.until("all parts known", func() bool { return p.parts() == *goalParts+1 })
	metric(b, time.Since(p.began).Seconds(), "first-look-s")
	p.atRest()
	p.kill()
	for n := range 3 * b.N {
		summary := p.modified("SUIT.md")
		p.start()
		metric(b, p.logs("ready", "").at.Sub(p.began).Seconds(), "ready-s")
		p.atRest()
		metric(b, p.cpu().Seconds(), "cpu-s")
		metric(b, float64(p.count("reported")+p.count("kept")), "looked-into")
		require.Equal(b, summary, p.modified("SUIT.md"))
		time.Sleep(untilIdle + 5*time.Second) // it then gives back what it took
		metric(b, p.number("status", "VmRSS:")/1024, "resident-MiB")
		metric(b, 30/1.048576+0.3*float64(*goalParts)/1024, "allowed-MiB")
		p.write("000/part-0.stl", stl(b, shape.Bar{X: 150 + 20*float64(n), Y: 60, Z: 40}.Mesh()))
		began := time.Now()
		metric(b, p.logs("reported", "000/part-0.stl").at.Sub(began).Seconds(), "changed-s")
		p.until("a new summary", func() bool { return !p.modified("SUIT.md").Equal(summary) })
		metric(b, time.Since(began).Seconds(), "summed-s")
		p.atRest()
		p.kill()
	}
	p.limits()
}

// modified is when a file was last changed.
func (p *process) modified(name string) time.Time {
	info, err := os.Stat(filepath.Join(p.suit, name))
	require.NoError(p.b, err)
	return info.ModTime()
}

// limits tells how long one look at each part takes, and the start of a program
// that does nothing.
func (p *process) limits() {
	began := time.Now()
	_ = filepath.WalkDir(p.suit, func(path string, d fs.DirEntry, err error) error {
		if err == nil && filepath.Ext(path) == ".stl" {
			_, _ = d.Info()
		}
		return nil
	})
	metric(p.b, time.Since(began).Seconds(), "limit-walk-s")
	began = time.Now()
	require.NoError(p.b, p.command("--version").Run())
	metric(p.b, time.Since(began).Seconds(), "limit-start-s")
}

// An idle daemon uses at most 0.1 % of a processor, says and writes nothing, and
// holds at most 30 MiB and 0.3 KiB for each file.
func BenchmarkGoalIdle(b *testing.B) {
	p := newProcess(b)
	for n := range 20 {
		p.write(fmt.Sprintf("part-%d.stl", n), stl(b, shape.Bar{X: 40 + float64(n), Y: 15, Z: 10}.Mesh()))
	}
	p.start()
	p.logs("reported", "part-7.stl")
	p.atRest()
	for b.Loop() {
		lines, cpu, written := p.count(""), p.cpu(), p.number("io", "wchar:")
		time.Sleep(*goalIdle)
		metric(b, 100*float64(p.cpu()-cpu)/float64(*goalIdle), "cpu-%")
		metric(b, float64(p.count("")-lines), "lines")
		metric(b, p.number("io", "wchar:")-written, "written-bytes")
		metric(b, p.number("status", "VmRSS:")/1024, "resident-MiB")
	}
}

// A part of two million triangles takes at most four times its size and 200 MB,
// and afterwards the memory goes back. Beside it: what a daemon takes that has
// nothing to do, and the file itself in memory on top.
func BenchmarkGoalPeak(b *testing.B) {
	p := newProcess(b)
	p.start()
	p.logs("ready", "")
	idle := p.number("status", "VmHWM:") * 1.024e-3
	p.stop()
	data := p.dense(*goalTriangles)
	size := float64(len(data)) / 1e6
	metric(b, size, "file-MB")
	metric(b, 4*size+200, "allowed-MB")
	metric(b, idle+size, "limit-MB")
	for b.Loop() {
		p.write("wearer.toml", []byte("calf_girth = 382\nstature = 1710\n"))
		p.write("greave-left.stl", data)
		p.start()
		metric(b, p.logs("reported", "greave-left.stl").at.Sub(p.began).Seconds(), "reported-s")
		metric(b, p.number("status", "VmHWM:")*1.024e-3, "peak-MB")
		p.atRest()
		time.Sleep(untilIdle + 5*time.Second) // it then gives back what it took
		metric(b, p.number("status", "VmRSS:")*1.024e-3, "idle-MB")
		p.stop()
	}
}

// A broken suit.toml is said within 1 s, and its last good values stay.
func BenchmarkGoalBrokenConfig(b *testing.B) {
	p := newProcess(b)
	p.write("part.stl", stl(b, shape.Bar{X: 60, Y: 15, Z: 10}.Mesh()))
	p.write("suit.toml", []byte("[printer]\nbed = [300, 300]\n"))
	p.start()
	p.holds("part.stl.md", "483.3 %", false) // (300 − 10) / 60
	p.atRest()
	for b.Loop() {
		began := time.Now()
		p.write("suit.toml", []byte("[printer]\nbedd = [200, 200]\n"))
		metric(b, p.logs("config_broken", "suit.toml").at.Sub(began).Seconds(), "logged-s")
		metric(b, p.holds("SUIT.md", "cannot be used", false).Sub(began).Seconds(), "said-s")
		p.atRest()
		p.holds("part.stl.md", "483.3 %", false)
		p.stop()
		p.write("suit.toml", []byte("[printer]\nbed = [200, 200]\nbroad = 3\n")) // what was said is not said again
		p.start()
		metric(b, p.logs("config_broken", "suit.toml").at.Sub(p.began).Seconds(), "logged-at-start-s")
		p.atRest()
		p.holds("part.stl.md", "483.3 %", false)
		began = time.Now()
		p.write("suit.toml", []byte("[printer]\nbed = [300, 300]\n"))
		metric(b, p.holds("SUIT.md", "cannot be used", true).Sub(began).Seconds(), "mended-s")
		p.atRest()
		began = time.Now()
		p.write("suit.toml", []byte("[printer]\nbed = [320, 320]\n"))
		metric(b, p.holds("part.stl.md", "516.6 %", false).Sub(began).Seconds(), "edit-in-report-s") // (320 − 10) / 60, rounded down
		p.write("suit.toml", []byte("[printer]\nbed = [300, 300]\n"))
		p.holds("part.stl.md", "483.3 %", false)
		p.atRest()
	}
}

// A second daemon on the folder ends within 1 s with code 75.
func BenchmarkGoalSecond(b *testing.B) {
	p := newProcess(b)
	p.start()
	p.logs("ready", "")
	for b.Loop() {
		began := time.Now()
		err := p.command("watch", p.suit).Run()
		metric(b, time.Since(began).Seconds(), "refused-s")
		var exit *exec.ExitError
		require.ErrorAs(b, err, &exit)
		require.Equal(b, exitHeld, exit.ExitCode())
	}
	began := time.Now()
	require.NoError(b, p.command("--version").Run())
	metric(b, time.Since(began).Seconds(), "limit-start-s")
}

// A daemon that is told to stop in the middle of an analysis ends within 2 s.
// Beside it: how long one takes that has nothing to do.
func BenchmarkGoalStop(b *testing.B) {
	const tries = 10
	p := newProcess(b)
	p.start()
	p.logs("ready", "")
	metric(b, p.stop().Seconds(), "limit-stop-s")
	data := p.dense(*goalTriangles / 2)
	random := rand.New(rand.NewPCG(19171205, 0))
	var slowest, sum time.Duration
	atWork := 0
	for b.Loop() {
		for n := range tries {
			data[0] = byte(n) // other bytes: it is looked into again
			p.write("greave-left.stl", data)
			p.start()
			p.logs("ready", "")
			time.Sleep(time.Duration(random.IntN(5000)) * time.Millisecond) // the moment is what is tried
			if p.count("reported") == 0 {
				atWork++
			}
			took := p.stop()
			slowest, sum = max(slowest, took), sum+took
		}
	}
	metric(b, slowest.Seconds(), "slowest-stop-s")
	metric(b, sum.Seconds()/float64(tries*b.N), "mean-stop-s")
	metric(b, float64(atWork)/float64(tries*b.N), "at-work")
}
