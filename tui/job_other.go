//go:build !unix

package tui

import tea "github.com/charmbracelet/bubbletea"

// A job is nothing here: this system stops no program for its shell.
type job struct{ leaves, returns string }

func newJob() *job { return &job{} }

func (*job) putAside() func(string) tea.Cmd { return nil }

func (*job) watch(*tea.Program) (end func()) { return func() {} }
