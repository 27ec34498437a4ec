package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// An enclosing is what is said of files that are enclosed.
type enclosing struct {
	log, site, by, what              string
	weld, joint, part, section, test string
	files                            []logbook.Enclosed
}

func newEnclose(e edges) *cobra.Command {
	q := new(enclosing)
	cmd := &cobra.Command{
		Use:   "enclose FILE... --what TEXT --by NAME",
		Short: "Name certificates or photos that belong to the record, by their hash",
		Long: `enclose keeps the name and the hash of a file, so that it can be told later that
the file is still the one that was meant. The file itself is not taken in: keep it
with the register. A second run for the same content and the same thing changes
nothing; for another thing it is named for that too.

What it is of: --weld, --joint, --part (a chamber or run, as it is covered with ground),
--section (a circuit, header or chamber, as it is tested), --test (a pressure test), or
none of them: the site. Several files go to one thing at once.

Of a photo the time in its EXIF is kept beside ours, as it is written there: of JPEG,
PNG and HEIC; of other kinds it is not read. A photo that tells no time, or cannot be
read, is enclosed all the same, and that is said. coolhold photos lists what is on a
stick with what lies near in time.`,
		Example: `  coolhold enclose calibration.pdf --what "calibration of CU-208" --by "Bo Invented"
  coolhold enclose p1.jpg p2.jpg --what "indicators after fusion" --weld KM-0012 --by "Bo Invented"
  coolhold enclose p3.jpg --what "before the ground came on" --part "chamber A" --by "Bo Invented"
  coolhold enclose p4.jpg --what "gauge at the end" --test KM-P1 --by "Bo Invented"`,
		Args: wants(1, "which file?"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := q.check(cmd); err != nil {
				return err
			}
			for _, name := range expanded(args) {
				e.bar.enters("reading " + filepath.Base(name))
				b, _, _, err := readPhoto(name)
				if err != nil {
					return err
				}
				b.What = q.what
				q.files = append(q.files, b)
			}
			done, err := deedOn(logPath(e, q.log), q.site, head(e, q.by)).write(q.act)
			if err == nil || errors.Is(err, logbook.ErrExists) {
				q.tell(cmd.OutOrStdout(), done)
				return nil
			}
			return err
		},
	}
	logFlag(cmd, &q.log)
	f := cmd.Flags()
	f.StringVar(&q.site, "site", "", "the `site`, where the log has several")
	f.StringVar(&q.what, "what", "", "`text`: what the file is")
	f.StringVar(&q.by, "by", "", "`name` of the person who encloses it")
	f.StringVar(&q.weld, "weld", "", "`number` of the weld it is about")
	f.StringVar(&q.joint, "joint", "", "`label` of the joint it is about")
	f.StringVar(&q.part, "part", "", "`name` of what it shows as it is covered: chamber A, run A/FG")
	f.StringVar(&q.section, "section", "", "`name` of what it shows as it is tested: circuit 3, header FG, all")
	f.StringVar(&q.test, "test", "", "`number` of the pressure test it shows")
	return cmd
}

// check finds what is missing on the command line.
func (q *enclosing) check(cmd *cobra.Command) error {
	if strings.TrimSpace(q.by) == "" || strings.TrimSpace(q.what) == "" {
		return usage("--what and --by are needed; write coolhold %s", cmd.Use)
	}
	var of []string
	for _, name := range []string{"weld", "joint", "part", "section", "test"} {
		if cmd.Flags().Changed(name) {
			of = append(of, "--"+name)
		}
	}
	if len(of) > 1 {
		return usage("%s: name one thing, and enclose the file once more for another", strings.Join(of, " and "))
	}
	return nil
}

// act names the files for what is meant, as it is called in the log.
func (q *enclosing) act(s scene) (acts.Act, error) {
	weld, joint := q.weld, ""
	b := logbook.Enclosed{}
	switch {
	case q.joint != "":
		j, err := jointOf(s, s.site, q.joint)
		if err != nil {
			return nil, err
		}
		joint = j.Label
	case q.part != "":
		p, err := s.part(q.part)
		if err != nil {
			return nil, err
		}
		b.Part = p.Name
	case q.section != "":
		t, err := s.section(q.section)
		if err != nil {
			return nil, err
		}
		b.Section = &t.ID
	case q.test != "":
		t, err := s.test(q.test)
		if err != nil {
			return nil, err
		}
		b.Test = t.ID
	}
	for i := range q.files {
		q.files[i].Part, q.files[i].Section, q.files[i].Test = b.Part, b.Section, b.Test
	}
	return acts.Enclose(s.head, weld, joint, q.files...), nil
}

// tell says of each file that it is enclosed now, or was.
func (q *enclosing) tell(w io.Writer, done written) {
	for _, b := range q.files {
		at := slices.IndexFunc(done.entries, func(e logbook.Entry) bool {
			is, ok := e.Open().(logbook.Enclosed)
			return ok && is.Hash == b.Hash
		})
		if at >= 0 && done.entries[at].Open().Line() == b.Line() {
			line := b.Line()
			if e := done.entries[at]; e.Weld+e.Joint != "" {
				line += "; shows " + (logbook.Enclosure{Weld: e.Weld, Joint: e.Joint}).Of()
			}
			fmt.Fprintf(w, "%s: %s\n", done.site.ID, logbook.Clean(line))
			continue
		}
		fmt.Fprintf(w, "%s: %s with this content is there already; nothing was changed\n", done.site.ID, logbook.Clean(b.File))
	}
}
