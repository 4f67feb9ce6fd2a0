package cli

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"potlife/config"
	"potlife/rooms"
	"potlife/scheduler"
)

func (p *Program) awayCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "away CREW WHO DAYS [HOURS]",
		Short: "Record that one of a crew is away",
		Long: `away records that one of a crew is away on a day or on several, for all of each day or for
some hours of it, while the others work on. WHO is a name where the firm names the crew's
people, else setter or helper. The next plan goes by who is there; what is issued stays as
it is. A daemon that is running makes that plan within a minute. The same said a second time
changes nothing; on the page of the crews it is changed or taken back.`,
		Example: "  potlife away quay Ida 2026-12-03\n  potlife away quay helper 2026-12-03..2026-12-11\n  potlife away quay Ida 2026-12-03 13:00-16:00",
		Args:    cobra.RangeArgs(3, 4),
		RunE: func(cmd *cobra.Command, args []string) error {
			a, err := readAbsence(args[1:])
			if err != nil {
				return inputError{err}
			}
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error {
				said, err := d.RecordAway(cmd.Context(), args[0], a)
				if err != nil {
					return err
				}
				_, err = fmt.Fprintln(p.Out, said)
				return err
			})
		},
	}
	config.AddFlags(cmd.Flags())
	return cmd
}

// readAbsence reads who is away, the days and, where they are given, the hours.
func readAbsence(args []string) (a scheduler.Absence, err error) {
	switch a.Who = strings.TrimSpace(args[0]); a.Who {
	case "":
		return a, errors.New("who is away is not said; expected a name, setter or helper")
	case "setter":
		a.Who = ""
	case "helper":
		a.Who, a.Helper = "", true
	}
	first, last, several := strings.Cut(args[1], "..")
	if a.From, err = rooms.ParseDate(first); err != nil {
		return a, err
	}
	if a.To = a.From; several {
		if a.To, err = rooms.ParseDate(last); err != nil {
			return a, err
		}
	}
	if a.To.Before(a.From) {
		return a, fmt.Errorf("the last day, %s, lies before the first, %s", a.To, a.From)
	}
	if len(args) < 3 {
		return a, nil
	}
	from, to, ok := strings.Cut(args[2], "-")
	start, err1 := time.Parse("15:04", from)
	end, err2 := time.Parse("15:04", to)
	if !ok || err1 != nil || err2 != nil || !start.Before(end) {
		return a, fmt.Errorf("%q are no hours of a day; expected them as 13:00-16:00", args[2])
	}
	a.Start, a.End = start.Hour()*60+start.Minute(), end.Hour()*60+end.Minute()
	return a, nil
}
