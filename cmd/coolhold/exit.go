package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"coolhold/logbook"
)

// Exit codes, the same for every verb.
const (
	exitDone     = 0 // done, nothing found
	exitFindings = 1 // something is open or was not found, or the verb failed otherwise
	exitUsage    = 2 // the command line is wrong, or what it names cannot be had so
	exitInput    = 3 // a file that was given is wrong, or cannot be read or written
	exitLog      = 4 // the log is locked, damaged or unreadable; the office or its database is out of reach
	exitRefused  = 5 // a rule of the trade forbids it, or an office does not know the token or the key
)

// An exitError ends the program with a code. Without an err it is silent: what
// there is to say stands on stdout already.
type exitError struct {
	code int
	err  error
}

func (e *exitError) Error() string {
	if e.err == nil {
		return fmt.Sprintf("exit code %d", e.code)
	}
	return e.err.Error()
}

func (e *exitError) Unwrap() error { return e.err }

// exitWith gives an error that code; nil stays nil.
func exitWith(code int, err error) error {
	if err == nil {
		return nil
	}
	return &exitError{code, err}
}

// usage is an error of the command line.
func usage(format string, args ...any) error {
	return &exitError{exitUsage, fmt.Errorf(format, args...)}
}

// report prints an error as one line and gives the code to end with.
func report(w io.Writer, err error) int {
	if err == nil {
		return exitDone
	}
	code := exitFindings
	var ee *exitError
	if errors.As(err, &ee) {
		code = ee.code
		if ee.err == nil {
			return code
		}
	}
	fmt.Fprintln(w, "coolhold:", logbook.Clean(strings.Join(strings.Fields(err.Error()), " "))) // a name of a file may hold anything
	return code
}
