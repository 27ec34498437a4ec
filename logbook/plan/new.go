package plan

import _ "embed"

// New is a file to begin with: every key with what it is for, and in place of each
// value that it is still to be filled in.
//
//go:embed new.toml
var New string
