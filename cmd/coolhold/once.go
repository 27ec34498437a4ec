package main

import "errors"

// errTwice: a flag that holds one thing was given again. pflag by itself takes
// the last one and says nothing, and the verb would speak of another log than
// the reader thinks.
var errTwice = errors.New("--log is given twice and this verb works on one log; register, audit, review, history and recall take several")

// once is the value of a flag that may be given once.
type once struct {
	to  *string
	set bool
}

func (o *once) String() string {
	if o.to == nil {
		return ""
	}
	return *o.to
}

func (o *once) Set(s string) error {
	if o.set && s != *o.to { // of the same log again is no other; a shell that completes a line gives it so
		return errTwice
	}
	*o.to, o.set = s, true
	return nil
}

func (o *once) Type() string { return "string" }
