//go:build race

package analysis

// underRace says that the race detector is on, which makes work on voxels and
// sections some twenty times slower: tests then look at fewer shapes.
const underRace = true
