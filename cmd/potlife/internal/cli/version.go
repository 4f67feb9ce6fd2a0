package cli

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

func (p *Program) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Print the version",
		Args:  noArgs,
		RunE: func(*cobra.Command, []string) error {
			goVersion := ""
			if info, ok := debug.ReadBuildInfo(); ok {
				goVersion = " (" + info.GoVersion + ")"
			}
			_, err := fmt.Fprintf(p.Out, "potlife %s%s\n", Version, goVersion)
			return err
		},
	}
}
