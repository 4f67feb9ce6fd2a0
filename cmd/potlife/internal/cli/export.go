package cli

import (
	"context"
	"errors"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/config"
	"potlife/rooms"
)

// exportOptions are the flags of export.
type exportOptions struct {
	jobs   []string
	noFirm bool
}

func (p *Program) exportCommand() *cobra.Command {
	o := exportOptions{}
	cmd := &cobra.Command{
		Use:   "export [JOB...]",
		Short: "Print firm and jobs as a job file",
		Long: `export prints the firm and its jobs (or the jobs named by their keys) as a job file with
every value spelled out. Importing it gives the same again.`,
		Example: "  potlife export >all.yaml\n  potlife export --no-firm linden >linden.yaml",
		RunE: func(cmd *cobra.Command, args []string) error {
			o.jobs = args
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return runExport(cmd.Context(), d, o, p.Out) })
		},
	}
	cmd.Flags().BoolVar(&o.noFirm, "no-firm", false, "leave the firm part out")
	config.AddFlags(cmd.Flags())
	return cmd
}

func runExport(ctx context.Context, d Daemon, o exportOptions, out io.Writer) error {
	f, err := d.Export(ctx)
	if err != nil {
		return err
	}
	if f.Firm == nil {
		return inputError{errors.New("the database holds no firm yet; import a job file first")}
	}
	if len(o.jobs) > 0 {
		if f, err = onlyJobs(f, o.jobs); err != nil {
			return err
		}
	}
	if o.noFirm {
		f = &jobfile.File{Jobs: f.Jobs}
	}
	text, err := jobfile.Write(f)
	if err != nil {
		return err
	}
	_, err = out.Write(text)
	return err
}

// onlyJobs keeps the jobs named.
func onlyJobs(f *jobfile.File, keys []string) (*jobfile.File, error) {
	out := &jobfile.File{Firm: f.Firm}
	for _, key := range keys {
		i := slices.IndexFunc(f.Jobs, func(j rooms.Job) bool { return j.Key == key })
		if i < 0 {
			return nil, inputError{errors.New("there is no job " + key)}
		}
		out.Jobs = append(out.Jobs, f.Jobs[i])
	}
	return out, nil
}
