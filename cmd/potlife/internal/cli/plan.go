package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
	"potlife/scheduler"
)

// planOptions are the flags of plan.
type planOptions struct {
	files  []string
	json   bool
	schema bool
	today  rooms.Date
	sheets int
}

func (p *Program) planCommand() *cobra.Command {
	o := planOptions{}
	var today dateFlag
	cmd := &cobra.Command{
		Use:   "plan FILE...",
		Short: "Plan job files without any database",
		Long: `plan reads job files that hold a firm and its jobs, makes the whole plan and prints a
summary: when each room is done, how early it could be at best, how likely its date is,
what most often holds up the finish, the takeoff, what to order and by when, the first day
sheets, and what to look at.

--json prints the whole plan as one document ("potlife-plan/1"), from which it can be
re-checked without this program; --schema prints that document's JSON Schema.

Exit code 2: a file is wrong. 3: the files are right and no plan can keep to them.`,
		Example: "  potlife plan job.yaml\n  potlife plan job.yaml --json >plan.json\n  potlife plan job.yaml --today 2026-11-26",
		Args: func(cmd *cobra.Command, args []string) error {
			if o.schema {
				return noArgs(cmd, args)
			}
			return someFiles(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			o.files, o.today = args, today.Date
			return p.runPlan(cmd.Context(), o, p.Out)
		},
	}
	cmd.Flags().BoolVar(&o.json, "json", false, "print the whole plan as one JSON document")
	cmd.Flags().BoolVar(&o.schema, "schema", false, "print the JSON Schema of that document")
	cmd.Flags().Var(&today, "today", "the first day that may be planned (default: today in the firm's zone)")
	cmd.Flags().IntVar(&o.sheets, "sheets", 2, "how many of the first day sheets the summary prints")
	return cmd
}

func (p *Program) runPlan(ctx context.Context, o planOptions, out io.Writer) error {
	if o.schema {
		_, err := out.Write(plandoc.Schema())
		return err
	}
	f, err := readFiles(nil, o.files)
	if err != nil {
		return err
	}
	if o.sheets < 0 {
		return inputError{fmt.Errorf("--sheets %d: expected 0 or more", o.sheets)}
	}
	doc, err := p.makePlan(ctx, f, o.today)
	if err != nil {
		return err
	}
	if o.json {
		return writeDocument(out, doc)
	}
	return printPlan(out, doc, o.sheets)
}

// makePlan runs the pipeline over a file and holds the result to the rules of
// the plan document before anybody sees it.
func (p *Program) makePlan(ctx context.Context, f *jobfile.File, today rooms.Date) (*plandoc.Document, error) {
	switch {
	case f.Firm == nil:
		return nil, inputError{errors.New("no file has a firm part; expected firm: with crews, suppliers and products")}
	case len(f.Jobs) == 0:
		return nil, inputError{errors.New("no file has a job part; expected job: or jobs: with rooms to plan")}
	}
	if today.IsZero() {
		today = rooms.DateOf(p.Now().In(f.Firm.Zone))
	}
	done := progress(p.Err, "planning")
	defer done()
	plan, err := scheduler.Make(ctx, scheduler.Input{Firm: *f.Firm, Jobs: f.Jobs, Today: today})
	if err != nil {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		return nil, impossible{fmt.Errorf("no plan: %w", err)}
	}
	doc := plandoc.FromPlan(plan)
	if breaches := plandoc.Check(doc); len(breaches) > 0 {
		return nil, fmt.Errorf("the plan breaks %d of its own rules, which is a fault of the program; the first: %s", len(breaches), breaches[0])
	}
	return doc, nil
}

func writeDocument(out io.Writer, doc *plandoc.Document) error {
	e := json.NewEncoder(out)
	e.SetEscapeHTML(false)
	return e.Encode(doc)
}
