// Command yardstick runs the pure engines over open data sets and prints one JSON line per result.
//
// It is a measuring tool, not part of the product: it exists so that an outside program can score what the
// engines answer. Each sub-command lives in its own file and announces itself in an init function.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
)

// command is one sub-command: args are what follows its name, results go to out as JSON lines.
type command func(args []string, out io.Writer) error

// commands holds every sub-command by name; each file adds its own through register.
var commands = map[string]command{}

// register adds a sub-command. It is called from init functions only; a name given twice is a mistake in the program.
func register(name string, run command) {
	if _, taken := commands[name]; taken {
		panic("yardstick: sub-command " + name + " is registered twice")
	}
	commands[name] = run
}

// errUsage marks a call the user has to correct.
var errUsage = errors.New("usage")

func main() {
	if err := dispatch(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "yardstick:", err)
		if errors.Is(err, errUsage) {
			os.Exit(2)
		}
		os.Exit(1)
	}
}

// dispatch hands the arguments to the sub-command they name.
func dispatch(args []string, out io.Writer) error {
	if len(args) == 0 {
		return fmt.Errorf("%w: yardstick COMMAND [flags] [FILE…]; commands: %v", errUsage, names())
	}
	run, known := commands[args[0]]
	if !known {
		return fmt.Errorf("%w: no command %q; commands: %v", errUsage, args[0], names())
	}
	return run(args[1:], out)
}

// names lists the sub-commands in alphabetical order.
func names() []string {
	list := make([]string, 0, len(commands))
	for name := range commands {
		list = append(list, name)
	}
	slices.Sort(list)
	return list
}
