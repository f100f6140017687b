//go:build !unix

package report

import "errors"

func writeOnAFullDisk(string) error { return errors.ErrUnsupported }
