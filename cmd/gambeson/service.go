package main

import (
	"context"
	"fmt"
	"sync/atomic"
	"time"

	sdnotify "github.com/coreos/go-systemd/v22/daemon"
	"github.com/rs/zerolog"
)

// service tells the manager of services that started the program how it does
// (sd_notify(3)). Where none did, nothing is told.
type service struct {
	log  zerolog.Logger
	last atomic.Pointer[string] // what is being done, as last said
}

func (s *service) say(state string) {
	if _, err := sdnotify.SdNotify(false, state); err != nil {
		s.log.Debug().Str("event", "service_silent").Err(err).Msg("the manager of services does not listen")
	}
}

func (s *service) ready() { s.say(sdnotify.SdNotifyReady) }

func (s *service) stopping() { s.say(sdnotify.SdNotifyStopping) }

// reloading begins a reload, which ready ends. Managers of both ages
// understand it: older ones want the two, newer ones the time too.
func (s *service) reloading() {
	s.say(fmt.Sprintf("%s\n%s", sdnotify.SdNotifyReloading, sdnotify.SdNotifyMonotonicUsec()))
}

// status says in one line what is being done, where that is news.
func (s *service) status(line string) {
	if last := s.last.Load(); last == nil || *last != line {
		s.last.Store(&line)
		s.say("STATUS=" + line)
	}
}

// keepAlive tells the manager that the program is alive, for as long as sound
// says so, twice in the time in which it wants to hear of it.
func (s *service) keepAlive(ctx context.Context, sound func(context.Context) bool) {
	within, err := sdnotify.SdWatchdogEnabled(false)
	if err != nil || within <= 0 {
		return
	}
	beat := time.NewTicker(within / 2)
	defer beat.Stop()
	for {
		asking, cancel := context.WithTimeout(ctx, within/2)
		ok := sound(asking)
		cancel()
		if ok {
			s.say(sdnotify.SdNotifyWatchdog)
		} else if ctx.Err() == nil {
			s.log.Error().Str("event", "stuck").Msg("the program does not get on: the manager of services is not told that it is alive")
		}
		select {
		case <-ctx.Done():
			return
		case <-beat.C:
		}
	}
}
