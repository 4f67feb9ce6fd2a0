package app

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/cmd/potlife/internal/jobfile"
	"potlife/cmd/potlife/internal/localpg"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/sheet"
	"potlife/cmd/potlife/internal/store"
	"potlife/config"
	"potlife/rooms"
)

// Daemon is an App with the database and the configuration it runs on.
type Daemon struct {
	*App
	c       *config.Config
	cluster *localpg.Cluster // nil when a database is configured
	version string
}

// Open starts what the configuration asks for: the private cluster or the
// connection to a database, its schema, and the senders.
func Open(ctx context.Context, c *config.Config, log *slog.Logger, version string) (*Daemon, error) {
	d := &Daemon{c: c, version: version}
	url := c.Database.URL
	if url == "" {
		cluster, err := localpg.Start(ctx, localpg.Options{Dir: filepath.Join(c.DataDir, "postgres"), Logger: log})
		if err != nil {
			return nil, err
		}
		d.cluster, url = cluster, cluster.URL()
	}
	s, err := store.Open(ctx, url)
	if err != nil {
		return nil, errors.Join(err, d.Close())
	}
	if d.App, err = d.wire(s, log); err != nil {
		s.Close()
		return nil, errors.Join(err, d.Close())
	}
	return d, nil
}

func (d *Daemon) wire(s *store.Store, log *slog.Logger) (*App, error) {
	post, err := senders(d.c)
	if err != nil {
		return nil, err
	}
	o := Options{Store: s, Print: sheet.Printer{}, Post: post, Spec: d.c.Issue.Spec, PublicURL: d.publicURL(), Log: log}
	if d.c.Issue.Zone != "" {
		if o.Zone, err = time.LoadLocation(d.c.Issue.Zone); err != nil {
			return nil, fmt.Errorf("issue.zone: %w", err)
		}
	}
	return New(o)
}

// publicURL is where people reach the pages, without a slash at the end.
func (d *Daemon) publicURL() string {
	if d.c.Public != "" {
		return strings.TrimSuffix(d.c.Public, "/")
	}
	return "http://" + reachable(d.c.Listen)
}

// senders makes a sender for each channel that is configured.
func senders(c *config.Config) (deliver.Post, error) {
	post := deliver.Post{}
	if c.SMTP.Host != "" {
		s, err := deliver.NewMail(deliver.MailOptions{Host: c.SMTP.Host, Port: c.SMTP.Port, User: c.SMTP.User, Password: c.SMTP.Password,
			From: c.SMTP.From, StartTLS: c.SMTP.StartTLS, Insecure: c.SMTP.Insecure, Timeout: c.SMTP.Timeout})
		if err != nil {
			return nil, err
		}
		post[deliver.Mail] = s
	}
	if c.Webhook.URL != "" {
		s, err := deliver.NewWebhook(deliver.WebhookOptions{URL: c.Webhook.URL, Secret: c.Webhook.Secret, Timeout: c.Webhook.Timeout})
		if err != nil {
			return nil, err
		}
		post[deliver.Webhook] = s
	}
	if c.Folder != "" {
		s, err := deliver.NewFolder(c.Folder)
		if err != nil {
			return nil, err
		}
		post[deliver.Folder] = s
	}
	return post, nil
}

// Close gives the database back and stops the private cluster.
func (d *Daemon) Close() error {
	if d.App != nil {
		d.App.o.Store.Close()
		d.App = nil
	}
	if d.cluster == nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	err := d.cluster.Stop(ctx)
	d.cluster = nil
	return err
}

// Import takes over a firm and jobs by their keys and says what changes; with
// dry nothing is written.
func (d *Daemon) Import(ctx context.Context, f *jobfile.File, dry bool) ([]string, error) {
	in := store.Import{Firm: f.Firm, Jobs: f.Jobs, Who: "command line", Source: "job file"}
	if dry {
		return d.o.Store.Preview(ctx, in, d.now())
	}
	return d.o.Store.Import(ctx, in, d.now())
}

// Export returns the firm, nil before any import, and its open jobs.
func (d *Daemon) Export(ctx context.Context) (*jobfile.File, error) {
	firm, jobs, err := d.o.Store.FirmAndJobs(ctx)
	if errors.Is(err, store.ErrNotFound) {
		return &jobfile.File{}, nil
	}
	if err != nil {
		return nil, err
	}
	return &jobfile.File{Firm: firm, Jobs: jobs}, nil
}

// Plan makes and saves the plan of what stands in the database.
func (d *Daemon) Plan(ctx context.Context) (*plandoc.Document, error) {
	saved, err := d.Replan(ctx, "asked for on the command line")
	if err != nil {
		return nil, err
	}
	if _, err := d.Revise(ctx); err != nil {
		return nil, err
	}
	return d.document(ctx, saved.ID)
}

// PlaceOrders places every order of the plan in force that has not been placed,
// as the office would, and says which, a line an order.
func (d *Daemon) PlaceOrders(ctx context.Context, who string) ([]string, error) {
	saved, err := d.o.Store.CurrentPlan(ctx)
	if err != nil {
		return nil, err
	}
	doc, err := d.document(ctx, saved.ID)
	if err != nil {
		return nil, err
	}
	orders, err := d.o.Store.Orders(ctx)
	if err != nil {
		return nil, err
	}
	stands := map[string]bool{}
	for _, o := range orders {
		stands[o.Key] = stands[o.Key] || o.State != store.OrderCancelled
	}
	var lines []string
	for _, o := range saved.Plan.Orders {
		if stands[o.Key] {
			continue
		}
		wanted, err := d.wanted(ctx, doc, o.Rooms)
		if err != nil {
			return lines, err
		}
		placed, err := d.o.Store.PlaceSigned(ctx, o, wanted, who, nil, d.now())
		if err != nil {
			return lines, err
		}
		lines = append(lines, fmt.Sprintf("order %d to %s: delivery %s", placed.Number, doc.Index().SupplierName(o.Supplier), doc.Writing().ShortDay(o.Delivery.String())))
	}
	return lines, nil
}

// Issue issues every crew's first working day after the day of now, and says
// what it did, a line a crew.
func (d *Daemon) Issue(ctx context.Context, now time.Time) ([]string, error) {
	outcomes, err := d.IssueAfter(ctx, now, now)
	return append(d.outcomeLines(ctx, outcomes), d.wentLines(ctx, outcomes)...), err
}

// IssueDay issues one day to every crew that works on it, and says what it did;
// see App.IssueDay for ahead.
func (d *Daemon) IssueDay(ctx context.Context, day rooms.Date, ahead bool) ([]string, error) {
	outcomes, err := d.App.IssueDay(ctx, day, ahead)
	if err != nil && len(outcomes) == 0 {
		return nil, err
	}
	return append(d.outcomeLines(ctx, outcomes), d.wentLines(ctx, outcomes)...), err
}

// outcomeLines says what was done, a line a crew.
func (d *Daemon) outcomeLines(ctx context.Context, outcomes []Outcome) []string {
	var lines []string
	crew, day := func(key string) string { return "crew " + key }, rooms.Date.String
	if _, doc, err := d.current(ctx); err == nil {
		crew = func(key string) string { return crewName(doc, key) }
		day = func(on rooms.Date) string { return doc.Writing().ShortDay(on.String()) }
	}
	for _, o := range outcomes {
		if o.Issued > 0 {
			lines = append(lines, fmt.Sprintf("%s: sheet of %s issued, revision %d", crew(o.Crew), day(o.Date), o.Issued))
		} else {
			lines = append(lines, fmt.Sprintf("%s: no sheet for %s: %s", crew(o.Crew), day(o.Date), o.Why))
		}
	}
	if len(lines) == 0 {
		lines = []string{"nothing was due: every crew's next working day is issued"}
	}
	return lines
}

// Link makes the person known where it is not and returns a one-time sign-in
// link.
func (d *Daemon) Link(ctx context.Context, name, role, crew, email string) (string, error) {
	u, err := d.o.Store.AddUser(ctx, store.User{Name: name, Role: role, Crew: crew, Email: email}, d.now())
	if err != nil {
		return "", err
	}
	token, err := d.o.Store.NewSignInLink(ctx, u.ID, linkLife, d.now())
	if err != nil {
		return "", err
	}
	return d.linkBase(ctx) + "/sign-in/" + token, nil
}

// feedKey is the secret under which calendar feeds are addressed: made once,
// the same for all replicas.
func (d *Daemon) feedKey(ctx context.Context) ([]byte, error) {
	var b [32]byte
	rand.Read(b[:])
	text, err := d.o.Store.SettingOnce(ctx, "feed key", hex.EncodeToString(b[:]), d.now())
	if err != nil {
		return nil, err
	}
	return hex.DecodeString(text)
}
