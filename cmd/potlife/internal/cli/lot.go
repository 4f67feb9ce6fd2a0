package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/config"
)

func (p *Program) lotCommand() *cobra.Command {
	o := plandoc.LotAsked{}
	cmd := &cobra.Command{
		Use:   "lot ORDER LINE LOT",
		Short: "See what another lot would change, and take it",
		Long: `lot makes the plan again as if a line of an order asked for another lot of its tile, and
says what changes: what is bought and what it costs, which rooms the lot serves alone, which
would get two lots side by side, what is known of its calibre, and which rooms move. Nothing
is saved without --take. Taking it changes an order that was placed and tells its supplier;
a draft is placed with that lot. ORDER is the order's number, or the key of a draft.`,
		Example: "  potlife lot 7 2 K41\n  potlife lot 7 2 K41 --boxes 12 --calibre 07 --take --mixed",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 3 {
				return &usageError{cmd.CommandPath(), errors.New("expected an order, a line and a lot")}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			var err error
			o.Order, o.Lot = args[0], strings.TrimSpace(args[2])
			if o.Line, err = strconv.Atoi(args[1]); err != nil || o.Line < 1 {
				return inputError{fmt.Errorf("%q is no line of an order; expected its number, from 1", args[1])}
			}
			if err := validLot(o); err != nil {
				return err
			}
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return runLot(cmd.Context(), d, o, p.Out) })
		},
	}
	cmd.Flags().StringVar(&o.Calibre, "calibre", "", "the lot's calibre, where it is known")
	cmd.Flags().IntVar(&o.Boxes, "boxes", 0, "boxes of the lot that are to be had (default: enough)")
	cmd.Flags().BoolVar(&o.Take, "take", false, "take the lot after saying what changes")
	cmd.Flags().BoolVar(&o.Mixed, "mixed", false, "with --take: rooms may get two lots side by side")
	cmd.Flags().StringVar(&o.Note, "note", "", "with --take: a note to the supplier")
	config.AddFlags(cmd.Flags())
	return cmd
}

// validLot refuses what no order can answer.
func validLot(o plandoc.LotAsked) error {
	switch {
	case o.Lot == "":
		return inputError{errors.New("the lot is empty; expected its name, as the supplier writes it")}
	case len(o.Lot) > 100 || len(o.Calibre) > 100:
		return inputError{errors.New("the name of a lot or calibre has at most 100 characters")}
	case o.Boxes < 0 || o.Boxes > 1_000_000:
		return inputError{fmt.Errorf("--boxes %d is not from 0 to a million", o.Boxes)}
	case !o.Take && (o.Mixed || o.Note != ""):
		return inputError{errors.New("--mixed and --note go with --take")}
	}
	return nil
}

func runLot(ctx context.Context, d Daemon, o plandoc.LotAsked, out io.Writer) error {
	lines, err := d.OtherLot(ctx, o)
	for _, l := range lines {
		if _, bad := fmt.Fprintln(out, l); bad != nil {
			return bad
		}
	}
	return err
}
