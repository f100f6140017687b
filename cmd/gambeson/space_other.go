//go:build !linux && !darwin

package main

func freeBytes(string) (int64, bool) { return 0, false }
