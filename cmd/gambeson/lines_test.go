package main

import (
	"bytes"
	"strings"
	"sync"
)

// lines takes in what several goroutines write.
type lines struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *lines) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

func (l *lines) has(text string) bool { return strings.Contains(l.String(), text) }

func (l *lines) count(text string) int { return strings.Count(l.String(), text) }

func (l *lines) size() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Len()
}
