package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/config"
	"potlife/rooms"
)

// demoOptions are the flags of demo.
type demoOptions struct {
	once, print bool
	which       string
	start       rooms.Date
}

func (p *Program) demoCommand() *cobra.Command {
	o := demoOptions{}
	var start dateFlag
	cmd := &cobra.Command{
		Use:   "demo [inches]",
		Short: "Plan the demonstration job and serve it",
		Long: `demo plans an invented contractor's six bathrooms in a database of its own, issues the
first day, prints what was computed and a sign-in link for each role, and serves the
pages until it is stopped. It is safe to run again: what stands in its database is kept.
"demo inches" is a smaller job in inches and pounds.

The demonstration files carry fixed dates. demo moves them by whole weeks so that work
starts on the first Monday three days ahead or more, which leaves time to order, and says
so; holidays stay where they are. --print prints the file as it is, or moved by --start.`,
		Example:   "  potlife demo\n  potlife demo --print >job.yaml\n  potlife demo inches --print --start 2027-03-01",
		ValidArgs: []string{"inches"},
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 || len(args) == 1 && !slices.Contains(jobfile.DemoNames(), args[0]) {
				return &usageError{cmd.CommandPath(), fmt.Errorf("there is no demo %q; expected nothing, or inches", strings.Join(args, " "))}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			o.which, o.start = strings.Join(args, ""), start.Date
			if o.print {
				return p.printDemo(o)
			}
			return p.runDemo(cmd.Context(), o, cmd.Flags())
		},
	}
	cmd.Flags().BoolVar(&o.once, "once", false, "print the summary and stop")
	cmd.Flags().BoolVar(&o.print, "print", false, "print the demonstration's job file and stop")
	cmd.Flags().Var(&start, "start", "a day of the week in which work starts (default: a coming Monday; with --print: as written)")
	config.AddFlags(cmd.Flags())
	return cmd
}

func (p *Program) printDemo(o demoOptions) error {
	text := jobfile.Demo(o.which)
	if !o.start.IsZero() {
		f, problems := jobfile.Parse("demo", text)
		if err := problems.Err(); err != nil {
			return err
		}
		text = jobfile.ShiftText(text, jobfile.StartOn(f, mondayOf(o.start)))
	}
	_, err := p.Out.Write(text)
	return err
}

// mondayOf is the Monday of a day's week.
func mondayOf(d rooms.Date) rooms.Date { return d.AddDays(-(int(d.Weekday()) + 6) % 7) }

// comingMonday is the first Monday at least three days after a day.
func comingMonday(d rooms.Date) rooms.Date { return mondayOf(d.AddDays(9)) }

func (p *Program) runDemo(ctx context.Context, o demoOptions, flags *pflag.FlagSet) error {
	c, err := p.settings(flags)
	if err != nil {
		return err
	}
	if err := ownDatabase(c, flags, o.which); err != nil {
		return err
	}
	d, err := p.start(ctx, c)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := p.fillDemo(ctx, d, o); err != nil {
		return err
	}
	if o.once {
		return p.printLinks(ctx, d)
	}
	p.level.Set(p.usual)
	var failed error
	err = d.Serve(ctx, func(url string) {
		// Only now is the port known that a link has to name.
		if failed = p.printLinks(ctx, d); failed != nil {
			fmt.Fprintf(p.Err, "no sign-in links: %v\n", failed)
		}
		fmt.Fprintf(p.Out, "\npotlife answers at %s; stop it with Ctrl-C\n", url)
	})
	return errors.Join(err, failed)
}

// ownDatabase keeps the demonstration out of a database that somebody works
// with: one that is not named on this command line is never used.
func ownDatabase(c *config.Config, flags *pflag.FlagSet, which string) error {
	if flags.Changed("database-url") {
		return nil
	}
	if c.Database.URL != "" {
		return inputError{errors.New("database.url is configured, and the demonstration does not go into a database that may hold real work; name one with --database-url, or an empty one for its own")}
	}
	if !flags.Changed("data-dir") {
		c.DataDir += "-demo"
		if which != "" {
			c.DataDir += "-" + which
		}
	}
	return nil
}

// fillDemo imports the demonstration where the database is empty, plans,
// issues the first day, and prints all of it.
func (p *Program) fillDemo(ctx context.Context, d Daemon, o demoOptions) error {
	began := time.Now()
	standing, err := d.Export(ctx)
	if err != nil {
		return err
	}
	if standing.Firm == nil {
		if err := p.importDemo(ctx, d, o); err != nil {
			return err
		}
	} else {
		fmt.Fprintf(p.Out, "the database holds %s already; nothing is imported\n", standing.Firm.Name)
	}
	doc, err := d.Plan(ctx)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.Out, "planned and saved in %.1f s\n\n", time.Since(began).Seconds())
	if err := printPlan(p.Out, doc, 2); err != nil {
		return err
	}
	placed, err := d.PlaceOrders(ctx, "Demo office")
	if err != nil {
		return err
	}
	fmt.Fprintf(p.Out, "\nPlaced\n  %s\n", strings.Join(placed, "\n  "))
	if doc, err = p.planAgain(ctx, d, doc); err != nil {
		return err
	}
	lines, err := d.Issue(ctx, eveningBefore(doc, p.Now()))
	if err != nil {
		return err
	}
	// That nobody is sent anything is as it should be here.
	lines = slices.DeleteFunc(lines, func(l string) bool { return strings.HasPrefix(l, "WARNING") })
	fmt.Fprintf(p.Out, "\nIssued\n  %s\n", strings.Join(lines, "\n  "))
	return nil
}

// planAgain plans with the orders placed, whose days of delivery stand now, and
// says what that does to the dates.
func (p *Program) planAgain(ctx context.Context, d Daemon, was *plandoc.Document) (*plandoc.Document, error) {
	is, err := d.Plan(ctx)
	if err != nil {
		return nil, err
	}
	w := is.Writing()
	if was.Finish != is.Finish || was.FinishBound != is.FinishBound {
		fmt.Fprintf(p.Out, "  with these deliveries all is done %s (no plan before %s)\n", w.DayClock(is.Finish), w.DayClock(is.FinishBound))
	}
	return is, nil
}

// eveningBefore is the evening on which the first day with work is issued, or
// now where that has passed.
func eveningBefore(doc *plandoc.Document, now time.Time) time.Time {
	first := ""
	for _, s := range doc.Sheets {
		if first == "" || s.Date < first {
			first = s.Date
		}
	}
	zone, err := time.LoadLocation(doc.Zone)
	day, bad := rooms.ParseDate(first)
	if err != nil || bad != nil {
		return now
	}
	if evening := day.AddDays(-1).In(zone).Add(17 * time.Hour); evening.After(now) {
		return evening
	}
	return now
}

func (p *Program) importDemo(ctx context.Context, d Daemon, o demoOptions) error {
	f, problems := jobfile.Parse("demo", jobfile.Demo(o.which))
	if err := problems.Err(); err != nil {
		return err
	}
	monday := comingMonday(rooms.DateOf(p.Now().In(f.Firm.Zone)))
	if !o.start.IsZero() {
		monday = mondayOf(o.start)
	}
	days := jobfile.StartOn(f, monday)
	jobfile.Shift(f, days)
	changes, err := d.Import(ctx, f, false)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.Out, "imported the demonstration of %s (%s); its dates are moved by %d days, so that work starts on %s\n", f.Firm.Name, plural(len(changes), "change"), days, plandoc.Writing{Imperial: f.Firm.Units == "imperial"}.Day(monday.String()))
	return nil
}

// printLinks prints a one-time link for each role.
func (p *Program) printLinks(ctx context.Context, d Daemon) error {
	f, err := d.Export(ctx)
	if err != nil {
		return err
	}
	fmt.Fprintln(p.Out, "\nSign in (each link works once)")
	for _, role := range roles {
		crew := ""
		if role == "crew" {
			crew = f.Firm.Crews[0].Key
		}
		link, err := d.Link(ctx, "Demo "+role, role, crew, "")
		if err != nil {
			return err
		}
		fmt.Fprintf(p.Out, "  %-10s  %s\n", role, link)
	}
	return nil
}
