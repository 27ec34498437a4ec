package main

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/store"
)

// A takenVerb prints a file as a site took it.
type takenVerb struct {
	log, site, one string
	out            outlet
	what           string                                // "plan"
	of             func(logbook.Entry) (acts.File, bool) // the file of an entry that took one
	several        bool                                  // a site can hold several at once
}

var takenFiles = []takenVerb{
	{what: "plan", of: func(e logbook.Entry) (acts.File, bool) {
		b, is := e.Open().(logbook.PlanTaken)
		return acts.File{Name: b.File, Text: b.Text}, is
	}},
	{what: "table", several: true, of: func(e logbook.Entry) (acts.File, bool) {
		b, is := e.Open().(logbook.TableTaken)
		return acts.File{Name: b.File, Text: b.Text}, is
	}},
	{what: "kit", of: func(e logbook.Entry) (acts.File, bool) {
		b, is := e.Open().(logbook.KitTaken)
		return acts.File{Name: b.File, Text: b.Text}, is
	}},
}

// newTaken is the verb for one of them.
func newTaken(e edges, what string) *cobra.Command {
	v := takenFiles[slices.IndexFunc(takenFiles, func(v takenVerb) bool { return v.what == what })]
	cmd := &cobra.Command{
		Use:   "taken",
		Short: fmt.Sprintf("Print a %s as a site of the log took it", what),
		Long: fmt.Sprintf(`taken prints the exact text of a %s that a site took, from a file or typed on the
screens, so that it can be kept, changed and given to another log. The newest one
counts.`, what),
		Example: fmt.Sprintf("  coolhold %s taken\n  coolhold %s taken --site hillfoot-barn --out mine.toml", what, what),
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			path := logPath(e, v.log)
			e.remark(path)
			snap, err := store.ReadAll(context.Background(), path) // a book keeps no texts
			if err != nil {
				return exitWith(exitLog, err)
			}
			s, err := pickSite(logbook.Fold(snap.Tag, snap.Entries), v.site)
			if err != nil {
				return err
			}
			f, err := v.pick(s.ID, snap.Entries)
			if err != nil {
				return err
			}
			return v.out.deliver(cmd.OutOrStdout(), []byte(f.Text))
		},
	}
	v.out.flags(cmd, "it")
	logFlag(cmd, &v.log)
	cmd.Flags().StringVar(&v.site, "site", "", "the `site`, where the log has several")
	if v.several {
		cmd.Flags().StringVar(&v.one, "no", "", "which, by its `number` on the board (key 5), where there are several")
	}
	return cmd
}

// pick is the newest file of the site, or of several the one that is named.
func (v takenVerb) pick(site string, entries []logbook.Entry) (acts.File, error) {
	var files []acts.File
	var list []string
	for _, e := range entries {
		if f, is := v.of(e); is && e.Site == site {
			files = append(files, f)
			list = append(list, fmt.Sprintf("%d %s", len(files), logbook.Clean(f.Name)))
		}
	}
	n, err := strconv.Atoi(v.one)
	switch {
	case len(files) == 0:
		return acts.File{}, exitWith(exitFindings, fmt.Errorf("no %s was taken for %s", v.what, logbook.Clean(site)))
	case v.one != "" && (err != nil || n < 1 || n > len(files)), v.several && v.one == "" && len(files) > 1:
		return acts.File{}, usage("%s has %d tables; name one with --no: %s", logbook.Clean(site), len(files), strings.Join(list, ", "))
	case v.one != "":
		return files[n-1], nil
	}
	return files[len(files)-1], nil
}
