package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"potlife/cmd/potlife/internal/web"
	"potlife/config"
)

func (p *Program) offcutsCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "offcuts",
		Short: "List the offcuts in hand, record one or book one out",
		Long: `offcuts lists what was kept of tiles cut for jobs before: counted in the firm's file,
recorded by hand, or left by jobs that were put away where the firm keeps offcuts. The
next plan cuts from them where that saves a tile of the same lot, and the sheet says
which one to fetch.`,
		Example: "  potlife offcuts\n  potlife offcuts keep --tile mist --lot A48 --width 300 --height 297 --edges left,bottom,top\n  potlife offcuts gone no12",
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return runOffcuts(cmd.Context(), d, p.Out) })
		},
	}
	config.AddFlags(cmd.Flags())
	cmd.AddCommand(p.keepOffcutCommand(), p.offcutGoneCommand())
	return cmd
}

// byHand is who records on the command line.
var byHand = web.User{Name: "command line", Role: web.Office}

func (p *Program) keepOffcutCommand() *cobra.Command {
	in := web.OffcutIn{By: byHand}
	cmd := &cobra.Command{
		Use:   "keep",
		Short: "Record an offcut in hand and print what to mark it with",
		Args:  noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if in.Tile == "" || in.Width == "" || in.Height == "" {
				return &usageError{cmd.CommandPath(), errors.New("--tile, --width and --height are needed")}
			}
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error {
				key, err := d.KeepOffcut(cmd.Context(), in)
				if err == nil {
					_, err = fmt.Fprintln(p.Out, key)
				}
				return err
			})
		},
	}
	cmd.Flags().StringVar(&in.Key, "key", "", "what is marked on it (the next number if left out)")
	cmd.Flags().StringVar(&in.Tile, "tile", "", "the tile's key")
	cmd.Flags().StringVar(&in.Lot, "lot", "", "the lot as printed on the box; without it the offcut is listed and not used")
	cmd.Flags().StringVar(&in.Width, "width", "", "width as the tile lies, face up")
	cmd.Flags().StringVar(&in.Height, "height", "", "height")
	cmd.Flags().StringSliceVar(&in.Edges, "edges", nil, "its sides that are the tile's own edges: left,bottom,right,top")
	cmd.Flags().StringVar(&in.Place, "place", "", "where it lies, if not in the yard")
	cmd.Flags().StringVar(&in.From, "from", "", "what it was left of")
	config.AddFlags(cmd.Flags())
	return cmd
}

func (p *Program) offcutGoneCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "gone KEY",
		Short: "Say that an offcut is not there any more",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{cmd.CommandPath(), errors.New("expected what is marked on one offcut")}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return d.OffcutGone(cmd.Context(), args[0], byHand) })
		},
	}
	config.AddFlags(cmd.Flags())
	return cmd
}

func runOffcuts(ctx context.Context, d Daemon, out io.Writer) error {
	list, err := d.Offcuts(ctx)
	if err != nil {
		return err
	}
	w := tabwriter.NewWriter(out, 0, 4, 2, ' ', 0)
	n := 0
	for _, o := range list {
		if o.Gone {
			continue
		}
		if n++; n == 1 {
			fmt.Fprintln(w, "marked\ttile\tlot\twidth × height\tuncut edges\tlies\tleft of")
		}
		edges, place, lot := strings.Join(o.Edges(), ", "), o.Place, o.Lot
		if edges == "" {
			edges = "none"
		}
		if place == "" {
			place = "yard"
		}
		if lot == "" {
			lot = "not known"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s × %s\t%s\t%s\t%s\n", o.Key, o.Tile, lot, o.Width, o.Height, edges, place, o.From)
	}
	if n == 0 {
		fmt.Fprintln(w, "No offcut is in hand.")
	}
	return w.Flush()
}

func (p *Program) closeCommand() *cobra.Command {
	reopen := false
	cmd := &cobra.Command{
		Use:   "close JOB",
		Short: "Put a finished job away: it is no longer planned and can still be read",
		Long: `close takes a job out of planning. Its sheets, reports and orders stay to be read, and
where the firm keeps offcuts, what its tiles left is listed by "potlife offcuts" and
offered to the jobs that follow. --reopen takes it back into planning.`,
		Example: "  potlife close linden\n  potlife close linden --reopen",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{cmd.CommandPath(), errors.New("expected the key of one job")}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error {
				do, said := d.CloseJob, "Job %[1]s is put away: nothing of it is planned any more. \"potlife close %[1]s --reopen\" takes it back.\n"
				if reopen {
					do, said = d.ReopenJob, "Job %s is planned again.\n"
				}
				if err := do(cmd.Context(), args[0]); err != nil {
					return err
				}
				_, err := fmt.Fprintf(p.Out, said, args[0])
				return err
			})
		},
	}
	cmd.Flags().BoolVar(&reopen, "reopen", false, "take the job back into planning")
	config.AddFlags(cmd.Flags())
	return cmd
}
