package main

import (
	"encoding/json"
	"os"
	"strings"

	"gambeson/cmd/gambeson/store"
	"gambeson/config"
)

// What the TOML files said when they could last be used is kept beside the state,
// for the account's own eyes: wearer.toml holds measures. So a daemon that starts
// while one of them is broken does not fall back to the defaults.

func goodPath(root string) (string, error) {
	path, err := statePath(root)
	return strings.TrimSuffix(path, ".json") + ".good", err
}

// recallGood has the last good values hold for files that cannot be used now.
func (f *folder) recallGood() {
	path, err := goodPath(f.root)
	if err != nil {
		return
	}
	file, err := os.ReadFile(path)
	text, whole := store.Unsealed(file)
	var good map[string]config.Good
	if err == nil && whole && json.Unmarshal(text, &good) == nil {
		f.keeper = config.NewKeeper(f.root)
		f.keeper.Recall(good)
		f.reload()
	}
	f.keepGood()
}

// keepGood writes what the TOML files say that can be used, where that is news.
func (f *folder) keepGood() {
	path, err := goodPath(f.root)
	if err != nil || f.readOnly {
		return
	}
	text, err := json.Marshal(f.keeper.Good()) // in the order of the names
	if now := digestBytes(text); err == nil && now != f.good {
		if err = store.Replace(path, store.Sealed(text)); err == nil {
			f.good = now
		}
	}
	if err != nil {
		f.log.Debug().Str("event", "state_failed").AnErr("err", err).Msg("cannot write down what the TOML files say")
	}
}
