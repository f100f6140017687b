package main

import (
	"strings"

	"gambeson/analysis"
	"gambeson/analysis/cost"
	"gambeson/config"
	"gambeson/report/disk"
	"gambeson/report/paper"
)

// calibrate compares the prints in the logbook with what the reports of their
// parts forecast. Prints of parts without a report tell nothing yet. Where none
// tells anything the zero Calibration is returned.
func calibrate(root string, printed []config.Printed) cost.Calibration {
	var pairs []cost.Pair
	for _, e := range printed {
		f := reported(root, e.Part)
		if f == nil || f.Print == nil || f.Percent <= 0 {
			continue
		}
		pairs = append(pairs, cost.Pair{
			Forecast: cost.Taken{Hours: f.Print.ModelHours, Grams: f.Print.ModelGrams},
			Took:     cost.Taken{Hours: e.Hours, Grams: e.Grams},
			Scale:    e.Percent / f.Percent,
		})
	}
	if c := cost.Calibrate(pairs); c.Prints > 0 {
		return c
	}
	return cost.Calibration{}
}

// reported returns the findings in the report of a part, or of a member of an
// archive, by its name; nil where there is none.
func reported(root, part string) *analysis.Findings {
	if f := paper.Previous(disk.Place{Root: root, Part: part}); f != nil {
		return f
	}
	if at := strings.Index(strings.ToLower(part), ".zip/"); at >= 0 {
		return paper.Previous(disk.Place{Root: root, Part: part[:at+4], Member: part[at+5:]})
	}
	return nil
}
