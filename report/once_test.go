package report

import (
	"strings"
	"testing"

	"gambeson/report/disk"
	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

// That SUIT.md may have another scale is said once on a page, beside the scale.
func TestTheSuitIsPointedToOnce(t *testing.T) {
	for name, doc := range map[string]Document{"greave": greave(), "boot": boot(), "plate": plate(), "fits": fittingGreave(), "tried": triedBefore(), "nobody": nobody()} {
		p := disk.Place{Root: sample.Folder(t), Part: doc.Findings.Part}
		require.NoError(t, Write(p, doc))
		top, _, _ := strings.Cut(sample.ReadFile(t, p.Root, p.Report()), "## Scale")
		require.Equal(t, 1, strings.Count(top, "**Scale to print at:"), name)
		require.LessOrEqual(t, strings.Count(top, "SUIT.md`"), 1, name)
	}
}
