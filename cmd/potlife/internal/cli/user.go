package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"potlife/config"
)

// Roles of people who sign in.
var roles = []string{"contractor", "office", "crew"}

// userOptions are the flags of user.
type userOptions struct{ name, role, crew string }

func (p *Program) userCommand() *cobra.Command {
	o := userOptions{}
	cmd := &cobra.Command{
		Use:   "user NAME",
		Short: "Print a one-time sign-in link",
		Long: `user makes a person known, where it is not, and prints a link with which that person
signs in once. Contractors see and change everything, the office all but users, a crew
its own sheets.`,
		Example: "  potlife user \"Ida Sorel\" --role contractor\n  potlife user Jonas --role crew --crew amber",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{cmd.CommandPath(), errors.New("expected one name")}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			o.name = args[0]
			if err := o.validate(); err != nil {
				return err
			}
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return runUser(cmd.Context(), d, o, p.Out) })
		},
	}
	cmd.Flags().StringVar(&o.role, "role", "office", "contractor, office or crew")
	cmd.Flags().StringVar(&o.crew, "crew", "", "the crew's key, for the role crew")
	_ = cmd.RegisterFlagCompletionFunc("role", cobra.FixedCompletions(roles, cobra.ShellCompDirectiveNoFileComp)) // the flag stands above
	config.AddFlags(cmd.Flags())
	return cmd
}

func (o userOptions) validate() error {
	switch {
	case !slices.Contains(roles, o.role):
		return inputError{fmt.Errorf("--role %q is not known; expected contractor, office or crew", o.role)}
	case o.role == "crew" && o.crew == "":
		return inputError{errors.New("the role crew needs --crew, the key of the crew")}
	case o.role != "crew" && o.crew != "":
		return inputError{errors.New("--crew goes with --role crew only")}
	}
	return nil
}

func runUser(ctx context.Context, d Daemon, o userOptions, out io.Writer) error {
	link, err := d.Link(ctx, o.name, o.role, o.crew)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(out, link)
	return err
}
