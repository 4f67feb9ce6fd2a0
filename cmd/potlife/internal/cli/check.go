package cli

import (
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/rooms"
	"potlife/scheduler"
)

func (p *Program) checkCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE...",
		Short: "Say everything that is wrong with job files",
		Long: `check reads job files that belong together (a firm in one, its jobs in others; - is
standard input) and prints every problem as file:line:column: what is wrong; what was
expected. It writes nothing. Exit code 2 where there is a problem.

A room that asks for skills which no crew has all of, or not the crew that it names, is a
problem. Rooms whose wet surfaces take long to set against the time in which their
membrane is to be covered are planned by themselves: one of which no plan can keep that
time is a problem too.`,
		Example: "  potlife check job.yaml\n  potlife check firm.yaml linden.yaml quay.yaml",
		Args:    someFiles,
		RunE:    func(cmd *cobra.Command, args []string) error { return p.runCheck(cmd.Context(), args, p.Out) },
	}
}

func (p *Program) runCheck(ctx context.Context, names []string, out io.Writer) error {
	f, sources, err := readSources(nil, names)
	if err != nil {
		return err
	}
	if err := skills(f, sources); err != nil {
		return err
	}
	if err := p.covers(ctx, f, sources); err != nil {
		return err
	}
	_, err = fmt.Fprintln(out, contents(f)+measuredOn(f))
	return err
}

// skills lists the rooms that no crew has the skills for.
func skills(f *jobfile.File, sources []jobfile.Source) error {
	if f.Firm == nil {
		return nil
	}
	var problems jobfile.Problems
	for _, u := range scheduler.NoSkill(f.Firm, f.Jobs) {
		problems = append(problems, jobfile.AtRoom(sources, u.Job, u.Room, u.Text, ""))
	}
	return problems.Err()
}

// covers lists the rooms whose membrane cannot be covered in time.
func (p *Program) covers(ctx context.Context, f *jobfile.File, sources []jobfile.Source) error {
	if f.Firm == nil {
		return nil
	}
	today := rooms.DateOf(p.Now().In(f.Firm.Zone))
	list, err := scheduler.LongCovers(ctx, scheduler.Input{Firm: *f.Firm, Jobs: f.Jobs, Today: today})
	if err != nil {
		return err
	}
	var problems jobfile.Problems
	for _, u := range list {
		problems = append(problems, jobfile.AtRoom(sources, u.Job, u.Room, "no plan: "+u.Text, ""))
	}
	return problems.Err()
}

// measuredOn says, in a line each, on which layers the surfaces count as measured
// and which of them are tiled on a later one: measured: true of a job or a room
// and a layer that is not named are taken for that.
func measuredOn(f *jobfile.File) string {
	layers, later := map[string]int{}, map[string][]string{}
	for _, j := range f.Jobs {
		for _, s := range j.Sites {
			for _, m := range s.Rooms {
				for i := range m.Surfaces {
					x := &m.Surfaces[i]
					switch last := x.LastLayer(); {
					case !x.Measured:
					case rooms.Beneath(x.Layer, last):
						k := fmt.Sprintf("the %s and tiled on the %s", x.Layer, last)
						later[k] = append(later[k], j.Key+"/"+m.Key+"/"+x.Key)
					default:
						layers[x.Layer]++
					}
				}
			}
		}
	}
	text := ""
	if len(layers) > 0 {
		var parts []string
		for _, k := range slices.Sorted(maps.Keys(layers)) {
			parts = append(parts, fmt.Sprintf("%d on the %s", layers[k], k))
		}
		text += "\nmeasured: true is taken for " + strings.Join(parts, ", ") + ", as they will be tiled: their cuts may be made ahead"
	}
	for _, k := range slices.Sorted(maps.Keys(later)) {
		text += fmt.Sprintf("\nmeasured on %s: %s: cuts at the edges wait until they are read there (readings with that layer release them)", k, list(later[k]))
	}
	return text
}

// list names a few and counts the others.
func list(names []string) string {
	const most = 6
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
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
