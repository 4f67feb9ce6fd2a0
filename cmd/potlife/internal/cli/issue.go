package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"potlife/config"
	"potlife/rooms"
)

func (p *Program) issueCommand() *cobra.Command {
	var day dateFlag
	cmd := &cobra.Command{
		Use:   "issue",
		Short: "Issue the next working day of every crew now",
		Long: `issue does what the daemon does in the evening: it issues the day sheet of each crew's
next working day; with --date, as on the evening before that day. A day that is issued
already is not issued again, however often and from wherever this is run.`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return runIssue(cmd.Context(), d, day.Date, p.Now(), p.Out) })
		},
	}
	cmd.Flags().Var(&day, "date", "the working day to issue (default: the next one of each crew)")
	config.AddFlags(cmd.Flags())
	return cmd
}

// runIssue issues the day, or each crew's next working day where day is zero.
func runIssue(ctx context.Context, d Daemon, day rooms.Date, now time.Time, out io.Writer) error {
	if !day.IsZero() {
		f, err := d.Export(ctx)
		if err != nil {
			return err
		}
		if f.Firm == nil {
			return inputError{errors.New("the database knows no firm yet; import a job file first")}
		}
		now = day.AddDays(-1).In(f.Firm.Zone).Add(17 * time.Hour)
	}
	lines, err := d.Issue(ctx, now)
	for _, l := range lines {
		if _, bad := fmt.Fprintln(out, l); bad != nil {
			return bad
		}
	}
	return err
}
