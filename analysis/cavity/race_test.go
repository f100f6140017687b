//go:build race

package cavity

// underRace says that the race detector is on, which makes work on voxels and
// sections some twenty times slower: tests of numbers then take fewer shapes.
const underRace = true
