package main

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
)

// The daemon is ready when its folders are watched, however long the part takes
// that it is looking into.
func TestReadyWaitsForNoPart(t *testing.T) {
	var log bytes.Buffer
	d := newDaemon(newConsole(nil, &log, "json", "info"), "watch", nil)
	d.mu.Lock() // as while a part is looked into
	defer d.mu.Unlock()
	d.ready(3)
	require.Contains(t, log.String(), `"event":"ready"`)
}
