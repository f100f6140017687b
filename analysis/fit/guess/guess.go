// Package guess tells what a part covers where nobody said so, from its name or
// from its shape, and whether it was drawn in another unit than was taken.
//
// Every answer comes with its reason in words, and there is none where nothing
// is near. The sizes that parts are compared with are those of the people of
// the survey. Lengths are mm; regions are named as in suit.toml.
package guess
