//go:build !unix

package mesh

// doNotWait is nothing where a file cannot be a named pipe.
const doNotWait = 0
