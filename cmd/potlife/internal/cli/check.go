package cli

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/rooms"
)

func (p *Program) checkCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE...",
		Short: "Say everything that is wrong with job files",
		Long: `check reads job files that belong together (a firm in one, its jobs in others; - is
standard input) and prints every problem as file:line:column: what is wrong; what was
expected. It writes nothing. Exit code 2 where there is a problem.`,
		Example: "  potlife check job.yaml\n  potlife check firm.yaml linden.yaml quay.yaml",
		Args:    someFiles,
		RunE:    func(cmd *cobra.Command, args []string) error { return runCheck(cmd.Context(), args, p.Out) },
	}
}

func runCheck(_ context.Context, names []string, out io.Writer) error {
	f, err := readFiles(nil, names)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(out, contents(f))
	return err
}

// contents says in a line what a file holds.
func contents(f *jobfile.File) string {
	sites, roomCount, surfaces := 0, 0, 0
	for _, j := range f.Jobs {
		sites += len(j.Sites)
		for _, s := range j.Sites {
			roomCount += len(s.Rooms)
			for _, m := range s.Rooms {
				surfaces += len(m.Surfaces)
			}
		}
	}
	text := fmt.Sprintf("no problem: %s, %s, %s, %s", plural(len(f.Jobs), "job"), plural(sites, "site"), plural(roomCount, "room"), plural(surfaces, "surface"))
	if f.Firm == nil {
		return text + "; without a firm part, tiles, products and crews were not looked up"
	}
	return fmt.Sprintf("%s; firm %s with %s", text, f.Firm.Name, plural(len(f.Firm.Crews), "crew"))
}

func plural(n int, noun string) string {
	return fmt.Sprintf("%d %s", n, rooms.Plural(noun, float64(n)))
}
