package cli

import (
	"context"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"potlife/config"
)

func (p *Program) issueCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "issue",
		Short: "Issue the next working day of every crew now",
		Long: `issue does what the daemon does in the evening: it issues the day sheet of each crew's
next working day. A day that is issued already is not issued again, however often and
from wherever this is run.`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return runIssue(cmd.Context(), d, p.Now(), p.Out) })
		},
	}
	config.AddFlags(cmd.Flags())
	return cmd
}

func runIssue(ctx context.Context, d Daemon, now time.Time, out io.Writer) error {
	lines, err := d.Issue(ctx, now)
	for _, l := range lines {
		if _, bad := fmt.Fprintln(out, l); bad != nil {
			return bad
		}
	}
	return err
}
