package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"gambeson/cmd/gambeson/store"

	"github.com/adrg/xdg"
)

type serviceCmd struct {
	Dirs   []string `arg:"" name:"dir" help:"Suit folders to watch."`
	Strict bool     `help:"Shut all of the disk but these folders and gambeson's own away, and the network. Needs a system that lets a user do so (user namespaces)."`
}

func (c *serviceCmd) Help() string {
	return `For systemd: gambeson service DIR > ~/.config/systemd/user/gambeson.service, then systemctl --user daemon-reload, then systemctl --user enable --now gambeson. It logs to the journal: journalctl --user -u gambeson. Of the ways to end, systemd starts it again after all but a clean one, wrong usage (64), no permission (77) and a broken TOML file (78).`
}

// Run prints a unit for the person's own service manager.
func (c *serviceCmd) Run(out *console) error {
	program, err := os.Executable()
	if err != nil {
		return err
	}
	var dirs []string
	for _, d := range c.Dirs {
		dir, err := filepath.Abs(d)
		if err != nil {
			return err
		}
		dirs = append(dirs, dir)
	}
	var own []string
	if c.Strict { // what is to stay writable must be there before
		state, err := store.Dir()
		if err != nil {
			return err
		}
		cache := filepath.Join(xdg.CacheHome, "gambeson")
		if err := os.MkdirAll(cache, 0o700); err != nil {
			return fail(exitCannot, "%w", err)
		}
		own = []string{state, cache}
	}
	_, err = fmt.Fprint(out.out, unit(program, dirs, own))
	return err
}

// unit is the text of a unit of a person's systemd (systemd.service(5),
// systemd.exec(5)) that watches some folders. What shuts it in needs no
// namespaces, and so holds in every such manager. Where own names the program's
// own folders, all others but those watched are shut away too, which needs them.
func unit(program string, dirs, own []string) string {
	words := func(all []string) string {
		var quoted []string
		for _, word := range all {
			quoted = append(quoted, quoteUnit(word))
		}
		return strings.Join(quoted, " ")
	}
	text := strings.Replace(unitText, "COMMAND", words([]string{program})+" watch --wait "+words(dirs), 1)
	if len(own) > 0 {
		text = strings.Replace(text, "\n[Install]", strings.Replace(strictText, "FOLDERS", words(slices.Concat(dirs, own)), 1)+"\n[Install]", 1)
	}
	return text
}

// quoteUnit writes a word so that the manager reads it as it is: nothing in it
// is a specifier, a variable or an escape (systemd.syntax(7), QUOTING).
func quoteUnit(word string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "%", "%%", "$", "$$", "\n", `\n`, "\t", `\t`).Replace(word) + `"`
}

// A file on which the program crashes is left alone after two crashes, one on
// which it was killed after five: so it may be started that often in a minute.
const unitText = `# Written by "gambeson service".
[Unit]
Description=gambeson: looks into the meshes of a suit of costume armour
StartLimitIntervalSec=60
StartLimitBurst=8

[Service]
Type=notify
ExecStart=COMMAND
ExecReload=/bin/kill -HUP $MAINPID
WatchdogSec=60
Restart=on-failure
RestartSec=5
RestartPreventExitStatus=64 77 78
TimeoutStopSec=20

Nice=10
IOSchedulingClass=idle
MemoryHigh=50%
MemoryMax=75%
# The reports hold measures of a body: for the person's own eyes.
UMask=0077
LimitCORE=0

NoNewPrivileges=yes
MemoryDenyWriteExecute=yes
LockPersonality=yes
RestrictRealtime=yes
RestrictSUIDSGID=yes
RestrictNamespaces=yes
RestrictAddressFamilies=AF_UNIX
SystemCallArchitectures=native
SystemCallFilter=@system-service
SystemCallFilter=~@privileged @resources
SystemCallErrorNumber=EPERM

[Install]
WantedBy=default.target
`

// What is in strictText is in force in a person's own manager only together with
// PrivateUsers, which newer ones set by themselves and those of before 254 do not
// (systemd.exec(5)): there the rest would be left out without a word.
const strictText = `
PrivateUsers=yes
CapabilityBoundingSet=
ProtectSystem=strict
ProtectHome=read-only
ReadWritePaths=FOLDERS
PrivateTmp=yes
PrivateDevices=yes
PrivateNetwork=yes
ProtectKernelTunables=yes
ProtectKernelModules=yes
ProtectKernelLogs=yes
ProtectControlGroups=yes
ProtectClock=yes
ProtectHostname=yes
RuntimeDirectory=gambeson
RuntimeDirectoryPreserve=yes
`
