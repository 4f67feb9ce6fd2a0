package cli

import (
	"github.com/spf13/cobra"

	"potlife/cmd/potlife/internal/jobfile"
)

func (p *Program) schemaCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "schema",
		Short: "Print the JSON Schema of job files",
		Long: `schema prints the JSON Schema of job files, for editors that complete and check YAML.
The schema of the plan document is printed by "potlife plan --schema".`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error {
			_, err := p.Out.Write(jobfile.Schema())
			return err
		},
	}
}
