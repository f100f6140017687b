package main

import (
	"os"
	"path/filepath"

	"gambeson/config"
)

type startCmd struct {
	Dir string `arg:"" help:"The suit folder; made where it is not there."`
}

// Run writes the starter files that are not there yet and changes no other.
func (c *startCmd) Run(out *console) error {
	if err := os.MkdirAll(c.Dir, 0o777); err != nil {
		return fail(exitCannot, "%w", err)
	}
	written, err := config.Start(c.Dir)
	if err != nil {
		return fail(exitCannot, "%w", err)
	}
	if len(written) == 0 {
		say(out.out, "%s has its three files already; nothing was changed.", c.Dir)
		return nil
	}
	for _, name := range written {
		say(out.out, "wrote %s", filepath.Join(c.Dir, filepath.Base(name)))
	}
	say(out.out, "Fill in what you know (every line may stay away), put your mesh files beside them, then: gambeson watch %s", c.Dir)
	return nil
}
