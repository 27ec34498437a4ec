package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// newMan writes the man pages of all verbs, from the same texts as their help.
func newMan(e edges) *cobra.Command {
	force := false
	cmd := &cobra.Command{
		Use:   "man DIR",
		Short: "Write the man pages of all verbs into a folder",
		Long: `man writes a page for coolhold and one for each of its verbs and topics into a folder
that is there already, such as ~/.local/share/man/man1. Each holds what --help prints.
They bear the date of today, or that of SOURCE_DATE_EPOCH (seconds since 1970).`,
		Example: `  mkdir -p ~/.local/share/man/man1
  coolhold man ~/.local/share/man/man1 && man coolhold-register`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usage("one folder is needed, not %d; write %s", len(args), cmd.UseLine())
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			info, err := os.Stat(args[0])
			if err != nil || !info.IsDir() {
				return exitWith(exitInput, fmt.Errorf("%s is no folder: make it first, then coolhold man %s", args[0], args[0]))
			}
			n, err := writeMan(cmd.Root(), e, args[0], force)
			if err != nil {
				return err
			}
			_, err = fmt.Fprintf(cmd.OutOrStdout(), "%d man pages in %s\n", n, args[0])
			return err
		},
	}
	cmd.Flags().BoolVar(&force, "force", false, "replace pages that are there already")
	return cmd
}

// writeMan writes the page of a command and those of all below it, and says how many.
func writeMan(cmd *cobra.Command, e edges, dir string, force bool) (n int, err error) {
	if !cmd.IsAvailableCommand() && !cmd.IsAdditionalHelpTopicCommand() && cmd.HasParent() {
		return 0, nil
	}
	name := ""
	for c := cmd; c != nil; c = c.Parent() {
		name = c.Name() + map[bool]string{true: "-"}[name != ""] + name
	}
	at, err := datedPages(e)
	if err != nil {
		return 0, err
	}
	var text bytes.Buffer
	header := &doc.GenManHeader{Section: "1", Source: program(), Manual: "coolhold", Date: &at}
	cmd.DisableAutoGenTag = true
	if err := doc.GenMan(cmd, header, &text); err != nil {
		return 0, exitWith(exitInput, err)
	}
	to := outlet{file: filepath.Join(dir, name+".1"), force: force}
	if err := to.deliver(nil, text.Bytes()); err != nil {
		return 0, err
	}
	n = 1
	for _, c := range cmd.Commands() {
		more, err := writeMan(c, e, dir, force)
		if n += more; err != nil {
			return n, err
		}
	}
	return n, nil
}

// datedPages is the date that the pages bear. A release gives its own, so that they are
// the same whenever they are made.
func datedPages(e edges) (time.Time, error) {
	given := e.getenv("SOURCE_DATE_EPOCH")
	if given == "" {
		return e.now().Wall.UTC(), nil
	}
	sec, err := strconv.ParseInt(given, 10, 64)
	if err != nil {
		return time.Time{}, usage("SOURCE_DATE_EPOCH is %q; write whole seconds since 1970, or leave it out", given)
	}
	return time.Unix(sec, 0).UTC(), nil
}
