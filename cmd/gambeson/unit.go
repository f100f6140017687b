package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
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
	_, err = fmt.Fprint(out.out, unit(program, dirs, c.Strict))
	return err
}

// unit is the text of a unit of a person's systemd (systemd.service(5),
// systemd.exec(5)) that watches some folders. What shuts it in needs no
// namespaces, and so holds in every such manager; strict adds what does.
func unit(program string, dirs []string, strict bool) string {
	command := []string{quoteUnit(program), "watch", "--wait"}
	var writable []string
	for _, d := range dirs {
		command = append(command, quoteUnit(d))
		writable = append(writable, quoteUnit(d))
	}
	text := strings.Replace(unitText, "COMMAND", strings.Join(command, " "), 1)
	if strict {
		text = strings.Replace(text, "\n[Install]", strings.Replace(strictText, "FOLDERS", strings.Join(writable, " "), 1)+"\n[Install]", 1)
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

const strictText = `
ProtectSystem=strict
ProtectHome=read-only
ReadWritePaths=FOLDERS
ReadWritePaths=-%S/gambeson -%C/gambeson -%t/gambeson
PrivateTmp=yes
PrivateDevices=yes
PrivateNetwork=yes
ProtectKernelTunables=yes
ProtectControlGroups=yes
StateDirectory=gambeson
CacheDirectory=gambeson
RuntimeDirectory=gambeson
RuntimeDirectoryPreserve=yes
`
