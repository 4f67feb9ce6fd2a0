package cli

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"potlife/config"
	"potlife/rooms"
)

func (p *Program) temperatureCommand() *cobra.Command {
	var day dateFlag
	cmd := &cobra.Command{
		Use:   "temperature JOB/ROOM DEGREES",
		Short: "Record what the thermometer in a room showed",
		Long: `temperature records what was read in a room on a day. It goes before what was forecast for
that day, and the next plan reckons with it: a colder room cures longer, and below a
product's lowest temperature nothing cures. A daemon that is running makes that plan
within a minute. The same reading of the same day a second time changes nothing; another
one of that day takes its place.`,
		Example: "  potlife temperature quay/bath '11.5 °C'\n  potlife temperature --date 2026-12-03 quay/bath '52 °F'",
		Args:    cobra.ExactArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			celsius, err := rooms.ParseCelsius(args[1], false)
			if err != nil {
				return inputError{err}
			}
			if job, room, ok := strings.Cut(args[0], "/"); !ok || job == "" || room == "" {
				return inputError{fmt.Errorf("%q names no room; expected job/room by their keys", args[0])}
			}
			if rooms.DateOf(p.Now()).AddDays(1).Before(day.Date) {
				return inputError{errors.New("that day lies ahead: nothing was read on it; a forecast stands in the job's file")}
			}
			return p.with(cmd.Context(), cmd.Flags(), func(d Daemon) error {
				said, err := d.RecordTemperature(cmd.Context(), args[0], celsius, day.Date)
				if err != nil {
					return err
				}
				_, err = fmt.Fprintln(p.Out, said)
				return err
			})
		},
	}
	cmd.Flags().Var(&day, "date", "the day on which it was read (default today)")
	config.AddFlags(cmd.Flags())
	return cmd
}
