package app

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/robfig/cron/v3"

	"potlife/cmd/potlife/internal/sheet"
	"potlife/cmd/potlife/internal/web"
)

// Serve answers pages and API, issues what falls due, follows reports and
// works the outbox off, until ctx ends. ready is called with the address once
// requests are answered. On the way out requests under way are finished, then
// the workers, within the configured time.
func (d *Daemon) Serve(ctx context.Context, ready func(url string)) error {
	handler, err := d.handler(ctx)
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", d.c.Listen)
	if err != nil {
		return fmt.Errorf("listen on %s: %w; another program may have the port, choose one with --listen", d.c.Listen, err)
	}
	url := d.address(listener)
	d.o.PublicURL = strings.TrimSuffix(url, "/") // before anything is sent that names it
	if bad := d.o.Store.SetSetting(ctx, servedAt, url, d.now()); bad != nil {
		d.log.Warn("other commands will not find this daemon", "err", bad)
	}
	work, stopWork := context.WithCancel(context.WithoutCancel(ctx))
	defer stopWork()
	var workers sync.WaitGroup
	loops := []func(context.Context){d.Tick, d.FollowReports, d.Send}
	if d.cluster != nil {
		loops = append(loops, d.cluster.Keep)
	}
	for _, w := range loops {
		workers.Add(1)
		go func() { defer workers.Done(); w(work) }()
	}
	server := &http.Server{Handler: handler, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: time.Minute, IdleTimeout: 2 * time.Minute}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	ready(url)
	select {
	case <-ctx.Done():
	case err = <-failed:
	}
	shut, cancel := context.WithTimeout(context.Background(), max(d.c.Stop, time.Second))
	defer cancel()
	if bad := server.Shutdown(shut); bad != nil && !errors.Is(bad, http.ErrServerClosed) {
		d.log.Warn("requests were cut off", "err", bad)
	}
	stopWork()
	workers.Wait()
	if errors.Is(err, http.ErrServerClosed) {
		err = nil
	}
	return err
}

// servedAt is the setting in which a daemon leaves the address it serves.
const servedAt = "served at"

// address is the public address, with the port that was really bound.
func (d *Daemon) address(l net.Listener) string {
	if d.c.Public != "" {
		return d.publicURL()
	}
	return "http://" + reachable(l.Addr().String())
}

// reachable is an address to which somebody on this machine can connect, where
// it stands for all of the machine's.
func reachable(listen string) string {
	host, port, err := net.SplitHostPort(listen)
	if err == nil && (host == "" || net.ParseIP(host).IsUnspecified()) {
		return net.JoinHostPort("127.0.0.1", port)
	}
	return listen
}

// linkBase is where a person's link leads: the public address, else the daemon
// that serves now, else where one would.
func (d *Daemon) linkBase(ctx context.Context) string {
	if d.c.Public != "" {
		return d.o.PublicURL
	}
	url, ok, err := d.o.Store.Setting(ctx, servedAt)
	if err != nil || !ok || url == d.o.PublicURL || !answers(ctx, url) {
		return d.o.PublicURL
	}
	return strings.TrimSuffix(url, "/")
}

// answers reports whether a potlife is ready at the address.
func answers(ctx context.Context, url string) bool {
	ctx, cancel := context.WithTimeout(ctx, 2*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, url+"/readyz", nil)
	if err != nil {
		return false
	}
	got, err := http.DefaultClient.Do(r)
	if err != nil {
		return false
	}
	defer got.Body.Close()
	text, err := io.ReadAll(io.LimitReader(got.Body, 64))
	return err == nil && string(text) == "ready\n"
}

func (d *Daemon) handler(ctx context.Context) (http.Handler, error) {
	key, err := d.feedKey(ctx)
	if err != nil {
		return nil, err
	}
	p := Pages{d.App}
	return web.New(web.Options{Plans: p, Sheets: p, Recorder: p, History: p, Orders: p, Accounts: p, Health: p, Print: sheet.Printer{}, Outlook: p, Outbox: p, Prices: p, Signings: p, Stock: p,
		Sessions: d.o.Store.Sessions(), SessionLife: d.c.Session.Lifetime, SessionIdle: d.c.Session.Idle, MetricsToken: d.c.Metrics.Token, PublicURL: d.c.Public, FeedKey: key, Log: d.log, Version: d.version})
}

// Tick asks the database every minute what is due, and at the start, so that
// what was missed is caught up. cron gives the rhythm only.
func (a *App) Tick(ctx context.Context) {
	a.beat(ctx, func() {
		if _, err := a.IssueDue(ctx); err != nil && ctx.Err() == nil {
			a.log.Error("issuing", "err", err)
		}
	}, func() { a.tidy(ctx) })
}

// beat calls minutely at once and every minute, and nightly once a night, until
// ctx ends. None is called while it still runs, and one that panics is called
// again the next time.
func (a *App) beat(ctx context.Context, minutely, nightly func()) {
	// Recover stands innermost: outside of it, a job that panicked once would
	// count as still running for ever.
	chain := []cron.JobWrapper{cron.SkipIfStillRunning(cron.DiscardLogger), cron.Recover(cronLog{a})}
	c := cron.New(cron.WithLocation(time.UTC), cron.WithChain(chain...))
	if _, err := c.AddFunc("* * * * *", minutely); err != nil {
		a.log.Error("cron", "err", err)
		return
	}
	if _, err := c.AddFunc("17 2 * * *", nightly); err != nil {
		a.log.Error("cron", "err", err)
		return
	}
	first := cron.NewChain(cron.Recover(cronLog{a})).Then(cron.FuncJob(minutely))
	first.Run()
	c.Start()
	<-ctx.Done()
	<-c.Stop().Done()
}

// keepPlans is how long every plan is kept; of older days the last one stays,
// and each from which a sheet was issued.
const keepPlans = 14 * 24 * time.Hour

// tidy forgets sessions and links that have run out, and old plans.
func (a *App) tidy(ctx context.Context) {
	if err := a.o.Store.Tidy(ctx, a.now()); err != nil {
		a.log.Error("tidying", "err", err)
	}
	n, err := a.o.Store.PrunePlans(ctx, a.now().Add(-keepPlans))
	if err != nil {
		a.log.Error("tidying plans", "err", err)
	} else if n > 0 {
		a.log.Info("old plans forgotten", "plans", n)
	}
}

// cronLog hands cron's errors to our log.
type cronLog struct{ a *App }

func (l cronLog) Info(string, ...any) {}

func (l cronLog) Error(err error, msg string, kv ...any) {
	l.a.log.Error("cron: "+msg, append([]any{"err", err}, kv...)...)
}
