package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/paper"
)

// Renew puts a new verdict on top of the report of a part whose mesh did not
// change, and into its findings: what was drawn, cut and reckoned for the
// earlier one stands below until the part was looked into again. The
// fingerprint goes, so that it will be. Without a report nothing is done. The
// page beside the report is left to paper.RenewPage.
func Renew(p disk.Place, f analysis.Findings) error {
	data, err := json.Marshal(f)
	if err != nil {
		return fmt.Errorf("%s: the findings hold what JSON cannot: %w", disk.Shown(p.Name()), err)
	}
	return paper.Amend(p, append(data, '\n'), func(text []byte) string {
		return renewed(f) + string(withoutRenewed(text))
	})
}

// MarkGone says at the top of a report that its part is no longer there. What was to
// follow a verdict put on top of it comes no more, so that goes. Without a report nothing
// is done.
func MarkGone(p disk.Place) error { return paper.MarkGone(p, withoutRenewed) }

// renewedStart begins the block that stands on top until the rest has followed.
const renewedStart = "> **Judged anew.** "

// renewed says the verdict. It is one block without an empty line.
func renewed(f analysis.Findings) string {
	lines := []string{renewedStart + answer.Of(&f)}
	for _, w := range answer.Warnings(&f) {
		lines = append(lines, "- "+w)
	}
	lines = append(lines, "", "The report below is still the earlier one: its pictures, bands and hours are being made again. Do not print from it yet.")
	return strings.Join(lines, "\n> ") + "\n\n"
}

// withoutRenewed takes an earlier such block off.
func withoutRenewed(text []byte) []byte {
	if !bytes.HasPrefix(text, []byte(renewedStart)) {
		return text
	}
	_, below, _ := bytes.Cut(text, []byte("\n\n"))
	return below
}
