package cli

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"potlife/cmd/potlife/internal/pricelist"
	"potlife/config"
)

// pricesOptions are the flags of prices.
type pricesOptions struct {
	from     dateFlag
	columns  map[string]string
	decimal  string
	skip     bool
	dry      bool
	template bool
}

func (p *Program) pricesCommand() *cobra.Command {
	o := pricesOptions{}
	cmd := &cobra.Command{
		Use:   "prices [FILE.csv]",
		Short: "Take a supplier's price list over from CSV",
		Long: `prices reads a price list in CSV and takes it over: columns product and price, and where
the list has them unit, currency and from (the day from which a price counts). The
delimiter and the decimal mark are found out. A row that is wrong is named with line and
column, and then nothing is written (exit code 2) unless --skip-bad is given. Prices
before stay in the history; the same list a second time changes nothing. From its day on
a list goes before the prices of the firm's file; open orders keep the price they were
placed at.`,
		Example: "  potlife prices --template >prices.csv\n  potlife prices --from 2026-05-01 --column price=EK kiln.csv",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if o.template {
				return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return d.PriceTemplate(cmd.Context(), p.Out) })
			}
			if len(args) != 1 {
				return &usageError{cmd.CommandPath(), errors.New("no file given; expected a price list in CSV")}
			}
			text, err := readFile(args[0])
			if err != nil {
				return inputError{fmt.Errorf("%s: %s; expected a price list that can be read", args[0], reason(err))}
			}
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return runPrices(cmd.Context(), d, o, args[0], text, p.Out) })
		},
	}
	cmd.Flags().Var(&o.from, "from", "day from which the prices count where a row names none (default today)")
	cmd.Flags().StringToStringVar(&o.columns, "column", nil, "the list's own name for a column: price=EK,product=Art")
	cmd.Flags().StringVar(&o.decimal, "decimal", "", "decimal mark, point or comma, where it cannot be found out")
	cmd.Flags().BoolVar(&o.skip, "skip-bad", false, "take over what is right although rows are wrong")
	cmd.Flags().BoolVar(&o.dry, "dry-run", false, "check the list and write nothing")
	cmd.Flags().BoolVar(&o.template, "template", false, "print a list of all tiles and products at today's prices")
	config.AddFlags(cmd.Flags())
	return cmd
}

func runPrices(ctx context.Context, d Daemon, o pricesOptions, name string, text []byte, out io.Writer) error {
	got, said, err := d.TakePrices(ctx, text, pricelist.Options{Columns: o.columns, From: o.from.Date, Decimal: o.decimal},
		pricelist.How{Source: name, Who: "command line", Skip: o.skip, Dry: o.dry})
	if err != nil {
		return fmt.Errorf("%s: %w%s", name, err, pricesHint(err))
	}
	for _, p := range got.Problems {
		if _, err := fmt.Fprintf(out, "%s: %s\n", name, p); err != nil {
			return err
		}
	}
	if len(got.Problems) > 0 && !o.skip {
		return inputError{errors.New(said + " (--skip-bad)")}
	}
	_, err = fmt.Fprintln(out, said)
	return err
}

// pricesHint names the flag that answers what the reader of a list asks.
func pricesHint(err error) string {
	var column *pricelist.ColumnError
	switch {
	case errors.As(err, &column):
		return fmt.Sprintf(" (--column %s=NAME)", column.Column)
	case errors.Is(err, pricelist.ErrDecimal):
		return " (--decimal point or --decimal comma)"
	}
	return ""
}
