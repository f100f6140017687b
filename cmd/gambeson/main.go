// Command gambeson sits on the folder of a suit of hard-shell costume armour,
// looks into every mesh that comes or changes, and writes beside it whether
// the body gets in, where it is tightest, whether it fits the printer, and
// which thin ring to print first.
package main

import (
	"context"
	"os"
)

func main() {
	ctx, stop := signals(context.Background())
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}
