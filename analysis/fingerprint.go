package analysis

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
)

// Fingerprint returns what a report of the bytes with this SHA-256 depends
// on: the bytes, the brief and the version of the program, as 64 hexadecimal
// digits. Two equal fingerprints promise equal findings. It returns an error
// only where the brief holds a number that is not finite.
func Fingerprint(bytes [sha256.Size]byte, brief Brief, version string) (string, error) {
	asked, err := json.Marshal(brief)
	if err != nil {
		return "", err
	}
	h := sha256.New()
	h.Write(bytes[:])
	h.Write(asked)
	h.Write([]byte(version))
	return hex.EncodeToString(h.Sum(nil)), nil
}
