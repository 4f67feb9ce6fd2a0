package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/mail"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"potlife/config"
)

// Roles of people who sign in.
var roles = []string{"contractor", "office", "crew"}

// person is who the flags of user speak of.
type person struct{ Name, Role, Crew, Email string }

func (p *Program) userCommand() *cobra.Command {
	o := person{}
	cmd := &cobra.Command{
		Use:   "user NAME",
		Short: "Print a one-time sign-in link",
		Long: `user makes a person known, where it is not, and prints a link with which that person
signs in once. Contractors see and change everything, the office all but users, a crew
its own sheets. Contractors with an address are written to each evening.`,
		Example: "  potlife user \"Ida Sorel\" --role contractor\n  potlife user Jonas --role crew --crew amber",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{cmd.CommandPath(), errors.New("expected one name")}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Name = args[0]
			if err := o.validate(); err != nil {
				return err
			}
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error { return runUser(cmd.Context(), d, o, p.Out) })
		},
	}
	cmd.Flags().StringVar(&o.Role, "role", "office", "contractor, office or crew")
	cmd.Flags().StringVar(&o.Crew, "crew", "", "the crew's key, for the role crew")
	cmd.Flags().StringVar(&o.Email, "email", "", "the person's e-mail address; without it the one known stays")
	_ = cmd.RegisterFlagCompletionFunc("role", cobra.FixedCompletions(roles, cobra.ShellCompDirectiveNoFileComp)) // the flag stands above
	config.AddFlags(cmd.Flags())
	return cmd
}

func (o person) validate() error {
	switch {
	case strings.TrimSpace(o.Name) == "":
		return inputError{errors.New("the name is empty; expected a person's name such as \"Ida Sorel\"")}
	case !slices.Contains(roles, o.Role):
		return inputError{fmt.Errorf("--role %q is not known; expected contractor, office or crew", o.Role)}
	case o.Role == "crew" && o.Crew == "":
		return inputError{errors.New("the role crew needs --crew, the key of the crew")}
	case o.Email != "" && !address(o.Email):
		return inputError{fmt.Errorf("--email %q is no e-mail address; expected one such as ida@example.org", o.Email)}
	case o.Role != "crew" && o.Crew != "":
		return inputError{errors.New("--crew goes with --role crew only")}
	}
	return nil
}

// address reports whether text is a bare e-mail address.
func address(text string) bool {
	a, err := mail.ParseAddress(text)
	return err == nil && a.Address == text
}

func runUser(ctx context.Context, d Daemon, o person, out io.Writer) error {
	link, err := d.Link(ctx, o.Name, o.Role, o.Crew, o.Email)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(out, link)
	return err
}
