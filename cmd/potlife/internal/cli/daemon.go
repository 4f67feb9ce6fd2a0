package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/pflag"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/pricelist"
	"potlife/cmd/potlife/internal/web"
	"potlife/config"
	"potlife/rooms"
	"potlife/scheduler"
)

// Daemon is the running program without its command line: a database, the
// plan in force, the ledger of issues, the pages.
type Daemon interface {
	// Import takes over a firm and jobs by their keys and says what changes;
	// with dry nothing is written.
	Import(ctx context.Context, f *jobfile.File, dry bool) (changes []string, err error)
	// Export returns the firm, nil before any import, and its jobs.
	Export(ctx context.Context) (*jobfile.File, error)
	// Plan makes and saves the plan of what stands in the database.
	Plan(ctx context.Context) (*plandoc.Document, error)
	// PlaceOrders places the orders of the plan in force, and says which.
	PlaceOrders(ctx context.Context, who string) ([]string, error)
	// OtherLot says what another lot for a line of an order would change, a line
	// a fact, and takes it where that is asked for.
	OtherLot(ctx context.Context, o plandoc.LotAsked) ([]string, error)
	// TakePrices reads a price list and takes it over, and says what was done.
	TakePrices(ctx context.Context, text []byte, o pricelist.Options, how pricelist.How) (pricelist.Report, string, error)
	// PriceTemplate writes the prices of today as a list.
	PriceTemplate(ctx context.Context, w io.Writer) error
	// Offcuts lists the offcuts that were ever kept, those in hand first; KeepOffcut
	// records one and returns its key, OffcutGone that one is not there any more.
	Offcuts(ctx context.Context) ([]web.OffcutRow, error)
	KeepOffcut(ctx context.Context, in web.OffcutIn) (string, error)
	OffcutGone(ctx context.Context, key string, by web.User) error
	// CloseJob puts a job away, ReopenJob takes it back into planning.
	CloseJob(ctx context.Context, key string) error
	ReopenJob(ctx context.Context, key string) error
	// Issue issues the next working day of every crew, as the evening's cron
	// does, and says what it did, a line a crew.
	Issue(ctx context.Context, now time.Time) ([]string, error)
	// IssueDay issues one day. One later than a crew's next working day is refused,
	// unless ahead is set: the crew's work is then held fixed up to it.
	IssueDay(ctx context.Context, day rooms.Date, ahead bool) ([]string, error)
	// RecordTemperature records what was read in a room ("job/room") on a day, today
	// where it is zero, once however often it is said.
	RecordTemperature(ctx context.Context, room string, celsius float64, day rooms.Date) (string, error)
	// RecordAway records that one of a crew is away, once however often it is said.
	RecordAway(ctx context.Context, crew string, a scheduler.Absence) (string, error)
	// Link makes the person known where it is not, or brings it to this role, crew
	// and, where one is given, address, and returns a one-time sign-in link.
	Link(ctx context.Context, name, role, crew, email string) (string, error)
	// Serve serves pages, API and cron until ctx ends; ready is called with the
	// address when requests are answered.
	Serve(ctx context.Context, ready func(url string)) error
	Close() error
}

// open loads the configuration and starts the daemon's parts.
func (p *Program) open(ctx context.Context, flags *pflag.FlagSet) (Daemon, error) {
	c, err := p.settings(flags)
	if err != nil {
		return nil, err
	}
	return p.start(ctx, c)
}

func (p *Program) start(ctx context.Context, c *config.Config) (Daemon, error) {
	if p.Open == nil {
		return nil, errors.New("this build has no daemon")
	}
	done := progress(p.Err, "starting the database")
	defer done()
	return p.Open(ctx, c, p.logger(c))
}

// with runs do on a daemon and closes it, keeping the first error.
func (p *Program) with(ctx context.Context, flags *pflag.FlagSet, do func(Daemon) error) (err error) {
	d, err := p.open(ctx, flags)
	if err != nil {
		return err
	}
	defer func() {
		if bad := d.Close(); err == nil && bad != nil {
			err = fmt.Errorf("closing: %w", bad)
		}
	}()
	return do(d)
}
