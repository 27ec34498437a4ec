package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"

	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/fault"
	"coolhold/logbook/plan"
	"coolhold/logbook/table"
	"coolhold/logbook/whole"
)

// readInput reads a file that a person wrote. It takes one byte more than may
// be there, so that the reader of the file can say that it is too large.
func readInput(name string) ([]byte, error) {
	f, err := whole.Open(name)
	if err != nil {
		return nil, unreadable(name, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, fault.MaxBytes+1))
	if err != nil {
		return nil, unreadable(name, err)
	}
	return data, nil
}

func unreadable(name string, err error) error {
	hint := "check that it is a file you may read"
	if errors.Is(err, fs.ErrNotExist) {
		hint = "check the name"
	}
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	return exitWith(exitInput, fmt.Errorf("cannot read %s: %w; %s", name, err, hint))
}

// loadTable reads a fusion table for a verb that needs it whole.
func loadTable(name string) (fusion.Table, error) { return load(name, "table", table.Parse) }

// loadPlan reads a site plan for a verb that needs it whole.
func loadPlan(name string) (plan.Plan, error) { return load(name, "plan", plan.Parse) }

// load reads a file with parse. Of several faults only the first fits the one
// line of an error; it says which verb lists them all.
func load[T any](name, verb string, parse func([]byte) (T, error)) (T, error) {
	data, err := readInput(name)
	if err != nil {
		return *new(T), err
	}
	v, err := parse(data)
	var faults fault.List
	if errors.As(err, &faults) && len(faults) > 0 {
		more := ""
		if n := len(faults) - 1; n > 0 {
			more = fmt.Sprintf(" (and %d more: coolhold %s check %s)", n, verb, name)
		}
		err = fmt.Errorf("%s:%s%s", name, faults[0], more)
	}
	return v, exitWith(exitInput, err)
}

// check reads each file and prints either its faults, a line each, or the one
// line that sound gives for it. It goes on after a faulty file, so that one run
// shows all there is to mend.
func check[T any](cmd *cobra.Command, names []string, parse func([]byte) (T, error), sound func(T) string) error {
	bad := 0
	for _, name := range names {
		if !checkOne(cmd, name, parse, sound) {
			bad++
		}
	}
	if bad > 0 {
		return exitWith(exitInput, fmt.Errorf("%s not in order: mend what is listed and check again", logbook.Count(bad, "file")))
	}
	return nil
}

func checkOne[T any](cmd *cobra.Command, name string, parse func([]byte) (T, error), sound func(T) string) bool {
	data, err := readInput(name)
	if err != nil {
		report(cmd.ErrOrStderr(), err)
		return false
	}
	v, err := parse(data)
	if err == nil {
		fmt.Fprintf(cmd.OutOrStdout(), "%s: no fault found, %s\n", logbook.Clean(name), sound(v))
		return true
	}
	var faults fault.List
	if !errors.As(err, &faults) {
		faults = fault.List{{What: err.Error()}}
	}
	for _, f := range faults {
		fmt.Fprintf(cmd.OutOrStdout(), "%s:%s\n", logbook.Clean(name), f)
	}
	return false
}
