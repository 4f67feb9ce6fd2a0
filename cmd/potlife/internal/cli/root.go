// Package cli is potlife's command line, one file a command. A command is its
// text, its options and a run function that tests call.
package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/config"
	"potlife/rooms"
)

// Version is set when the program is linked.
var Version = "development"

// Program is what the commands need from outside: where to write, the clock,
// and the daemon's parts.
type Program struct {
	Out, Err io.Writer
	Now      func() time.Time
	// Open starts what commands with a database need.
	Open func(ctx context.Context, c *config.Config, log *slog.Logger) (Daemon, error)

	configFile string
	daemon     bool          // this command runs until it is stopped
	level      slog.LevelVar // of the log, see logger
	usual      slog.Level
}

// Run executes a command line and returns the exit code.
func Run(ctx context.Context, p *Program, args []string) int {
	root := p.command()
	root.SetArgs(args)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return exitOK
	}
	code := exitCode(ctx, err)
	text := err.Error()
	var problems jobfile.Problems
	if !errors.As(err, &problems) && !strings.Contains(text, "\n") {
		text = "potlife: " + text
	}
	fmt.Fprintln(p.Err, text)
	var hint *usageError
	if errors.As(err, &hint) {
		fmt.Fprintf(p.Err, "Run %q for help.\n", hint.command+" --help")
	}
	return code
}

func (p *Program) command() *cobra.Command {
	root := &cobra.Command{
		Use:   "potlife",
		Short: "Plan tile work: rooms in, the next day's cuts out",
		Long: `potlife lays out every tile of the measured rooms of a tile contractor, takes off
and orders the materials, schedules the crews around pot life and cure times, and
issues each evening the next working day's pre-cut list.

Start with "potlife demo", or with "potlife demo --print >job.yaml" and
"potlife plan job.yaml", which needs no database.`,
		SilenceErrors: true,

		SuggestionsMinimumDistance: 2,
		SilenceUsage:               true,
		Args:                       noArgs,
		RunE:                       func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetOut(p.Out)
	root.SetErr(p.Err)
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error { return &usageError{cmd.CommandPath(), err} })
	root.PersistentFlags().StringVar(&p.configFile, "config", "", "configuration file")
	root.AddCommand(p.checkCommand(), p.planCommand(), p.demoCommand(), p.importCommand(), p.pricesCommand(), p.offcutsCommand(), p.closeCommand(), p.exportCommand(), p.serveCommand(),
		p.issueCommand(), p.lotCommand(), p.temperatureCommand(), p.awayCommand(), p.userCommand(), p.configCommand(), p.schemaCommand(), p.fieldsCommand(), p.outlineCommand(), p.versionCommand())
	return root
}

// noArgs refuses arguments and unknown commands, naming the nearest.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	err := fmt.Errorf("unknown argument %q for %q", args[0], cmd.CommandPath())
	if !cmd.HasParent() {
		err = fmt.Errorf("unknown command %q", args[0])
		if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
			err = fmt.Errorf("unknown command %q; did you mean %q?", args[0], near[0])
		}
	}
	return &usageError{cmd.CommandPath(), err}
}

// someFiles asks for at least one file.
func someFiles(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return &usageError{cmd.CommandPath(), errors.New("no file given; expected one or more job files")}
	}
	return nil
}

// dateFlag is a flag that holds a date.
type dateFlag struct{ rooms.Date }

// Set implements pflag.Value.
func (d *dateFlag) Set(s string) error {
	got, err := rooms.ParseDate(s)
	d.Date = got
	return err
}

// Type implements pflag.Value.
func (d *dateFlag) Type() string { return "YYYY-MM-DD" }
