package cli

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"potlife/config"
)

// importOptions are the flags of import.
type importOptions struct {
	files []string
	dry   bool
}

func (p *Program) importCommand() *cobra.Command {
	o := importOptions{}
	cmd := &cobra.Command{
		Use:   "import FILE...",
		Short: "Take job files over into the database",
		Long: `import reads job files and takes firm and jobs over by their keys: what is new is
added, what differs is changed, and every change is printed. Importing a file a second
time changes nothing. A job part may come alone once the firm is known. With a problem
in any file, nothing is written (exit code 2).`,
		Example: "  potlife import --dry-run job.yaml\n  potlife import firm.yaml linden.yaml",
		Args:    someFiles,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.files = args
			// Files that are wrong by themselves are refused before a database is
			// started.
			if _, err := readFiles(nil, args); err != nil {
				return err
			}
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return runImport(cmd.Context(), d, o, p.Out) })
		},
	}
	cmd.Flags().BoolVar(&o.dry, "dry-run", false, "show what would change and write nothing")
	config.AddFlags(cmd.Flags())
	return cmd
}

func runImport(ctx context.Context, d Daemon, o importOptions, out io.Writer) error {
	known, err := d.Export(ctx)
	if err != nil {
		return err
	}
	f, err := readFiles(known.Firm, o.files)
	if err != nil {
		return err
	}
	if f.Firm == nil && known.Firm == nil {
		return inputError{errors.New("no file has a firm part and the database knows no firm; import the firm first")}
	}
	changes, err := d.Import(ctx, f, o.dry)
	if err != nil {
		return err
	}
	for _, c := range changes {
		if _, err := fmt.Fprintln(out, c); err != nil {
			return err
		}
	}
	verdict := plural(len(changes), "change")
	switch {
	case len(changes) == 0:
		verdict = "nothing changes"
	case o.dry:
		verdict += ", none written"
	}
	_, err = fmt.Fprintln(out, verdict)
	return err
}
