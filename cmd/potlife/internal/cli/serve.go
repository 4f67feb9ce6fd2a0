package cli

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"potlife/config"
)

func (p *Program) serveCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Run the daemon: pages, API and the evening's issue",
		Long: `serve answers pages and API, issues every crew's next working day in the evening, and
delivers what is issued, until it is told to stop (SIGINT or SIGTERM). Without
database.url it keeps a PostgreSQL cluster of its own in data_dir.

Nobody can sign in without a link: "potlife user NAME --role contractor" prints the
first.`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			p.daemon = true
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return runServe(cmd.Context(), d, p.Out) })
		},
	}
	config.AddFlags(cmd.Flags())
	return cmd
}

func runServe(ctx context.Context, d Daemon, out io.Writer) error {
	return d.Serve(ctx, func(url string) { fmt.Fprintf(out, "potlife answers at %s\n", url) })
}
