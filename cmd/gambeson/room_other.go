//go:build !linux

package main

func machineMemory() int64 { return 0 }
