package cli

import (
	"log/slog"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"potlife/config"
)

func (p *Program) configCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "config",
		Short: "Print the effective configuration, secrets hidden",
		Long: `config prints every setting with its value and where it comes from: the default, the
configuration file, a POTLIFE_* variable, or a flag, in that order of increasing weight.
A key such as smtp.host is the variable POTLIFE_SMTP_HOST.`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			c, err := p.settings(cmd.Flags())
			if err != nil {
				return err
			}
			return c.Print(p.Out)
		},
	}
	config.AddFlags(cmd.Flags())
	return cmd
}

// settings loads the configuration.
func (p *Program) settings(flags *pflag.FlagSet) (*config.Config, error) {
	c, err := config.Load(config.Options{File: p.configFile, Flags: flags})
	if err != nil {
		return nil, inputError{err}
	}
	return c, nil
}

// logger writes to standard error in the form asked for. A command that ends
// by itself says only what is out of order, unless log.level is chosen; the
// daemon, and the demonstration once it serves, log at the usual level.
func (p *Program) logger(c *config.Config) *slog.Logger {
	if err := p.usual.UnmarshalText([]byte(c.Log.Level)); err != nil {
		p.usual = slog.LevelInfo
	}
	p.level.Set(p.usual)
	if !p.daemon && !c.Chosen("log.level") {
		p.level.Set(max(p.usual, slog.LevelWarn))
	}
	o := &slog.HandlerOptions{Level: &p.level}
	if c.Log.Format == "json" {
		return slog.New(slog.NewJSONHandler(p.Err, o))
	}
	return slog.New(slog.NewTextHandler(p.Err, o))
}
