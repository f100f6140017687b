package main

import (
	"maps"
	"slices"
	"strings"
	"sync"
	"time"
)

// concern is something that the person should know of until it is over. It is
// said once when it begins and once when it has ended, also across a restart.
type concern struct {
	About string    `json:"about"` // a part, a file or a folder
	What  string    `json:"what"`  // which of its concerns; what is said of a part is a code of its findings
	Text  string    `json:"text"`  // for the desktop: never a measure of the body
	Since time.Time `json:"since"`
	Stops bool      `json:"stops,omitempty"` // gambeson cannot do its work
	Raw   string    `json:"raw,omitempty"`   // see rawName
}

// line is a concern on one line.
func (c concern) line() string { return join(c.About, c.Text, "") }

// raised are the concerns that hold, as they were said. The zero value has none.
type raised struct {
	mu   sync.Mutex
	open map[[2]string]concern
}

// settle makes now all the concerns that hold about something, and returns
// those that have begun and those that have ended by that. Order, time and text
// of what held before stay.
func (c *raised) settle(about string, now []concern) (begun, ended []concern) {
	c.mu.Lock()
	defer c.mu.Unlock()
	holds := map[[2]string]bool{}
	for _, n := range now {
		n.About = about
		key := [2]string{about, n.What}
		holds[key] = true
		if _, known := c.open[key]; !known {
			c.put(n)
			begun = append(begun, c.open[key])
		}
	}
	for key, o := range c.open {
		if key[0] == about && !holds[key] {
			delete(c.open, key)
			ended = append(ended, o)
		}
	}
	slices.SortFunc(ended, byAbout)
	return begun, ended
}

// begin notes one concern and tells whether that is news.
func (c *raised) begin(n concern) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if _, known := c.open[[2]string{n.About, n.What}]; known {
		return false
	}
	c.put(n)
	return true
}

// end tells whether a concern held that now is over.
func (c *raised) end(about, what string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	key := [2]string{about, what}
	_, known := c.open[key]
	delete(c.open, key)
	return known
}

func (c *raised) put(n concern) {
	if c.open == nil {
		c.open = map[[2]string]concern{}
	}
	if n.Since.IsZero() {
		n.Since = time.Now().Truncate(time.Second)
	}
	n.Raw = rawName(n.About)
	c.open[[2]string{n.About, n.What}] = n
}

// drop forgets all that holds about a part, or the members of an archive.
func (c *raised) drop(part string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	maps.DeleteFunc(c.open, func(key [2]string, _ concern) bool {
		return key[0] == part || strings.HasPrefix(key[0], part+"/")
	})
}

// none tells that nothing holds.
func (c *raised) none() bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return len(c.open) == 0
}

// all lists what holds, in a fixed order.
func (c *raised) all() []concern {
	c.mu.Lock()
	defer c.mu.Unlock()
	return slices.SortedFunc(maps.Values(c.open), byAbout)
}

func byAbout(a, b concern) int {
	if d := strings.Compare(a.About, b.About); d != 0 {
		return d
	}
	return strings.Compare(a.What, b.What)
}
