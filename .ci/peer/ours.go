// Ours reads an STL file and prints what the peers print of it, and how long it
// took. With -draw N it writes the limb of N triangles that is measured, in the
// order of its grid, shuffled, or as text. With -library it reads the file by the
// library for STL files that writes ours.
//
//	go run ./.ci/peer/ours.go [-draw N [-shuffled|-text]] [-library] FILE STATIONS
package main

import (
	"context"
	"flag"
	"fmt"
	"log"
	"os"
	"strconv"
	"time"

	"gambeson/analysis/bed/hull"
	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"
	"gambeson/analysis/shape/speed"

	"github.com/hschendel/stl"
	"gonum.org/v1/gonum/spatial/r3"
)

var (
	draw     = flag.Int("draw", 0, "write a limb of so many triangles instead")
	shuffled = flag.Bool("shuffled", false, "its triangles in random order")
	text     = flag.Bool("text", false, "as text")
	library  = flag.Bool("library", false, "read by the library")
)

func main() {
	log.SetFlags(0)
	flag.Parse()
	var err error
	switch {
	case *draw > 0:
		err = write(flag.Arg(0))
	case *library:
		err = byLibrary(flag.Arg(0))
	default:
		err = measure(flag.Arg(0), flag.Arg(1))
	}
	if err != nil {
		log.Fatal(err)
	}
}

func write(path string) error {
	m := shape.Relief{Triangles: *draw}.Mesh()
	if *shuffled {
		m = shape.Shuffle(m, 7)
	}
	file, err := os.Create(path)
	if err != nil {
		return err
	}
	to := mesh.WriteSTL
	if *text {
		to = speed.WriteText
	}
	if err := to(file, m, "limb"); err != nil {
		return err
	}
	return file.Close()
}

// byLibrary reads a file by the library, which joins no corners.
func byLibrary(path string) error {
	began := time.Now()
	solid, err := stl.ReadFile(path)
	if err != nil {
		return err
	}
	fmt.Printf("time load %.6f\n", time.Since(began).Seconds())
	m := &mesh.Mesh{}
	for _, t := range solid.Triangles {
		for _, p := range t.Vertices {
			m.T = append(m.T, m.AddVertex(r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])}))
		}
	}
	area, volume := m.Measure()
	fmt.Printf("area %.17g\nvolume %.17g\n", area, volume)
	return nil
}

// rounds is how often all is done: the best of each is told, what a daemon takes.
const rounds = 5

func measure(path, stations string) error {
	n, err := strconv.Atoi(stations)
	if err != nil {
		return err
	}
	best := map[string]time.Duration{}
	for i := range rounds {
		if err := once(path, n, best, i == rounds-1); err != nil {
			return err
		}
	}
	for what, took := range best {
		fmt.Printf("time %s %.6f\n", what, took.Seconds())
	}
	return nil
}

func once(path string, n int, best map[string]time.Duration, say bool) error {
	began := time.Now()
	lap := func(what string) {
		took := time.Since(began)
		if least, known := best[what]; !known || took < least {
			best[what] = took
		}
		began = time.Now()
	}
	file, err := mesh.Open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	l, err := file.Load(context.Background(), mesh.DefaultLimits())
	if err != nil {
		return err
	}
	lap("load")
	m := l.Mesh
	low, high := m.Bounds().Min.Z, m.Bounds().Max.Z
	through := make([]r3.Vec, n)
	for i := range through {
		through[i].Z = low + (float64(i)+0.5)*(high-low)/float64(n)
	}
	sections := section.Sweep(m, r3.Vec{Z: 1}, through)
	lap("sections")
	area, volume := m.Measure()
	if edges := m.Edges(); edges != (mesh.Edges{}) {
		return fmt.Errorf("%s is not closed: %+v", path, edges)
	}
	lap("measure")
	around := hull.Of(m)
	lap("hull")
	band, flaws := section.Slab(m, r3.Vec{Z: 1}, low+0.4*(high-low), low+0.5*(high-low))
	lap("band")
	if !say {
		return nil
	}
	fmt.Printf("area %.17g\nvolume %.17g\nhull %.17g\nband %.17g\n", area, volume, around.Volume(), band.Volume())
	if flaws.Any() {
		fmt.Println("note the band is not closed")
	}
	for i, s := range sections {
		girth := 0.0
		for _, c := range s.Chains {
			girth += c.Length()
		}
		fmt.Printf("girth%d %.17g\nloops%d %d\n", i, girth, i, len(s.Chains))
	}
	return nil
}
