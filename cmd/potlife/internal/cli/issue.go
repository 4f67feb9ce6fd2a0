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
	var ahead bool
	cmd := &cobra.Command{
		Use:   "issue",
		Short: "Issue the next working day of every crew now",
		Long: `issue does what the daemon does in the evening: it issues the day sheet of each crew's
next working day, or with --date that day. A day that is issued already is not issued
again, however often and from wherever this is run.

What is issued to a crew stands: its work is planned around it. A day later than a
crew's next working day is therefore refused; --ahead issues it all the same and holds
that crew's work fixed up to the end of it, also on the days before.`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return runIssue(cmd.Context(), d, day.Date, ahead, p.Now(), p.Out) })
		},
	}
	cmd.Flags().Var(&day, "date", "the working day to issue (default: the next one of each crew)")
	cmd.Flags().BoolVar(&ahead, "ahead", false, "with --date: issue a day that lies further ahead, and hold the crews' work fixed up to it")
	config.AddFlags(cmd.Flags())
	return cmd
}

// runIssue issues the day, or each crew's next working day where day is zero.
func runIssue(ctx context.Context, d Daemon, day rooms.Date, ahead bool, now time.Time, out io.Writer) error {
	if day.IsZero() && ahead {
		return inputError{errors.New("--ahead goes with --date")}
	}
	issue := func() ([]string, error) { return d.Issue(ctx, now) }
	if !day.IsZero() {
		issue = func() ([]string, error) { return d.IssueDay(ctx, day, ahead) }
	}
	lines, err := issue()
	for _, l := range lines {
		if _, bad := fmt.Fprintln(out, l); bad != nil {
			return bad
		}
	}
	return err
}
