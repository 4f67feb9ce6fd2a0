package cli

import (
	"context"
	"errors"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/cmd/potlife/internal/store"
)

// Exit codes.
const (
	exitOK          = 0
	exitFailed      = 1   // the machine or the program: a database that does not answer, a full disk
	exitInput       = 2   // the command line, a file or the configuration; nothing was changed
	exitImpossible  = 3   // the input is well formed and no plan can satisfy it
	exitInterrupted = 130 // stopped by a signal before it was done
)

// inputError is an error of what the user gave us.
type inputError struct{ error }

func (e inputError) Unwrap() error { return e.error }

// impossible is the error of a job that cannot be planned.
type impossible struct{ error }

func (e impossible) Unwrap() error { return e.error }

// usageError is an error of the command line.
type usageError struct {
	command string
	err     error
}

func (e *usageError) Error() string { return e.err.Error() }

// exitCode maps errors to exit codes, in one place.
func exitCode(ctx context.Context, err error) int {
	var problems jobfile.Problems
	var input inputError
	var usage *usageError
	var never impossible
	switch {
	case errors.As(err, &problems), errors.As(err, &input), errors.As(err, &usage):
		return exitInput
	case errors.Is(err, store.ErrInvalid), errors.Is(err, store.ErrConflict), errors.Is(err, store.ErrNotFound):
		return exitInput // what is asked does not go with what stands in the database
	case ctx.Err() != nil:
		return exitInterrupted
	case errors.As(err, &never):
		return exitImpossible
	}
	return exitFailed
}
