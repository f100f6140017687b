//go:build !linux

package watcher

// askLease cannot be answered here: files settle by quiet time.
func askLease(string) lease { return unknown }

// fsType knows no silent file systems here; set Options.Poll for them.
func fsType(string) (name string, silent bool) { return "", false }

// limitCure says how to get more watches.
func limitCure(int) string { return "raise the limit of open files (ulimit -n)" }
