// Command gen makes the summary that package survey embeds, and the people held
// out to judge it by, from the raw tables of the surveys. Run by hand, from the
// top of the repository, with the four tables in DIR:
//
//	go run ./analysis/fit/survey/gen -data DIR > analysis/fit/survey/summary.tsv
//	go run ./analysis/fit/survey/gen -data DIR -people 2012 > analysis/fit/survey/testdata/people2012.csv
//	go run ./analysis/fit/survey/gen -data DIR -people 1988 > analysis/fit/survey/testdata/people1988.csv
package main

import (
	"bufio"
	"flag"
	"fmt"
	"os"
)

func main() {
	data := flag.String("data", "", "folder with ansur2-male.csv, ansur2-female.csv, ansur1988-male.csv, ansur1988-female.csv")
	people := flag.String("people", "", "write the people held out of this survey, 2012 or 1988, instead of the summary")
	flag.Parse()
	if err := run(*data, *people); err != nil {
		fmt.Fprintln(os.Stderr, "gen:", err)
		os.Exit(1)
	}
}

func run(data, people string) error {
	surveys, err := open(os.DirFS(data))
	if err != nil {
		return err
	}
	out := bufio.NewWriter(os.Stdout)
	switch people {
	case "":
		err = summarise(out, surveys)
	case "2012":
		err = heldOut(out, surveys, func(s survey) table { return s.out2012 })
	case "1988":
		err = heldOut(out, surveys, func(s survey) table { return s.out1988 })
	default:
		err = fmt.Errorf("no survey of %q", people)
	}
	if err != nil {
		return err
	}
	return out.Flush()
}
