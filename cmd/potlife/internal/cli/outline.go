package cli

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/rooms"
)

func (p *Program) outlineCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "outline FILE.dxf",
		Short: "Print the outlines of a DXF drawing as surfaces for a job file",
		Long: `outline reads outlines and openings from a DXF drawing (ASCII) and prints them as the
surfaces of a room, to be pasted into a job file and completed there. A surface is a
closed outline on a layer whose name begins with SURFACE, followed by its kind and key
("SURFACE wall north"); an opening one inside it on a layer whose name begins with its kind
(` + strings.ToUpper(strings.Join(rooms.OpeningKinds(), ", ")) + `), alone or
behind OPENING ("WINDOW 1", "OPENING drain"); one of no kind is a fixture. An arc stays one
side of its outline, a circle is written by its diameter. What was not used is reported on
standard error.`,
		Example: "  potlife outline bathroom.dxf >surfaces.yaml",
		Args:    someFiles,
		RunE: func(_ *cobra.Command, args []string) error {
			for _, name := range args {
				if err := runOutline(name, p.Out, p.Err); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

func runOutline(name string, out, report io.Writer) error {
	text, err := readFile(name)
	if err != nil {
		return inputError{fmt.Errorf("%s: %s; expected a DXF drawing", name, reason(err))}
	}
	d, err := rooms.ReadDXF(bytes.NewReader(text), 0)
	if err != nil {
		return inputError{fmt.Errorf("%s: %w", name, err)}
	}
	for _, line := range d.Ignored {
		if _, err := fmt.Fprintf(report, "%s: not used: %s\n", name, line); err != nil {
			return err
		}
	}
	_, err = out.Write(jobfile.WriteOutlines(d.Surfaces, d.Unit == "in" || d.Unit == "ft"))
	return err
}
