package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"potlife/cmd/potlife/internal/jobfile"
)

func (p *Program) fieldsCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "fields [PART...]",
		Short: "Describe the fields of job files",
		Long: `fields describes every part of a job file: what it is, each of its keys, what may stand
there and what it means when it is left out. With names it describes those parts alone.

Parts: ` + strings.Join(jobfile.PartNames(), ", "),
		Example:   "  potlife fields | less\n  potlife fields room surface edge",
		ValidArgs: jobfile.PartNames(),
		RunE: func(cmd *cobra.Command, args []string) error {
			text, unknown := jobfile.Reference(args...)
			if len(unknown) > 0 {
				return &usageError{cmd.CommandPath(), fmt.Errorf("there is no part %q; expected any of %s", unknown[0], strings.Join(jobfile.PartNames(), ", "))}
			}
			_, err := p.Out.Write(text)
			return err
		},
	}
}
