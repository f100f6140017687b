package paper

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"strings"

	"gambeson/report/disk"
	"gambeson/report/words"
)

// carriedMark begins what stands for the fingerprint of a report whose notes were copied;
// a sum of the notes follows. It is no fingerprint: a part that comes back is looked at.
const carriedMark = "carried."

// carriedStart begins what such a report says of that, on top.
const carriedStart = "> **The file is called "

// Carry copies the notes of the report of a part that is gone, word for word, below those
// of another part's, as which its file lies in the folder now, and says so on top of the
// report that they are from. That keeps them. What was copied once is not copied again,
// be it deleted there since, nor what is there already. It tells whether it did
// anything. Reports that are not whole stay as they are.
func Carry(from, to disk.Place) (done bool, err error) {
	d, err := disk.Open(from.Root)
	if err != nil {
		return false, err
	}
	defer d.Close()
	data, _, err := d.Read(from.Report())
	if err != nil {
		return false, err
	}
	old := parse(data)
	sum := sha256.Sum256(old.notes)
	mark := carriedMark + hex.EncodeToString(sum[:8])
	if !old.ours || !old.whole || len(bytes.TrimSpace(old.notes)) == 0 || old.fingerprint == mark || !bytes.HasPrefix(old.text, []byte(goneBanner)) {
		return false, nil
	}
	there := false
	err = d.Rewrite(to.Report(), func(data []byte) ([]byte, error) {
		now := parse(data)
		if there = now.ours && now.whole; !there || bytes.Contains(now.notes, bytes.TrimSpace(old.notes)) {
			return nil, nil
		}
		return again(d, to, now, string(now.text), now.fingerprint, below(now.notes, old.notes))
	})
	if err != nil || !there {
		return false, err
	}
	err = d.Rewrite(from.Report(), func(data []byte) ([]byte, error) {
		if now := parse(data); now.ours && now.whole && bytes.Equal(now.notes, old.notes) {
			return again(d, from, now, carriedText(from, to, now.text), mark, now.notes)
		}
		return nil, nil // the person is writing: another time
	})
	return err == nil, err
}

// below puts notes below others.
func below(above, notes []byte) []byte {
	if len(bytes.TrimSpace(above)) == 0 {
		return notes
	}
	return bytes.Join([][]byte{bytes.TrimRight(above, "\r\n"), notes}, []byte("\n\n"))
}

// carriedText says on top of the text of a part that is gone where its notes are now.
func carriedText(from, to disk.Place, text []byte) string {
	rest := strings.TrimPrefix(string(text), goneBanner)
	if strings.HasPrefix(rest, carriedStart) {
		_, rest, _ = strings.Cut(rest, "\n\n")
	}
	return goneBanner + carriedStart + words.Code(to.Name()) + " now.** What you wrote below was copied to the end of " +
		words.Link("its report", words.Href(from.Report(), to.Report())) + "; it stays here, too, until you delete this report.\n\n" + rest
}

// again composes a report with its page, so that it stays known where the person
// changed the text.
func again(d disk.Folder, p disk.Place, now existing, text, fingerprint string, notes []byte) ([]byte, error) {
	if err := writePage(d, p.Report(), text, notes, p.KeptName); err != nil && !errors.Is(err, errInTheWay) { // of that the report speaks
		return nil, err
	}
	report := compose(text, fingerprint, notes)
	if now.changed {
		report = bytes.Replace(report, []byte("text="), []byte("text=0"), 1)
	}
	return report, nil
}
