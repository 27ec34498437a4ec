package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/mod/sumdb/note"

	"coolhold/logbook"
	"coolhold/logbook/seal"
	"coolhold/logbook/store"
)

func newVerify(e edges) *cobra.Command {
	var log, sealFile, files string
	var keys []string
	var deep, asJSON bool
	cmd := &cobra.Command{
		Use:   "verify [LOG | REGISTER.json]",
		Short: "Check a log, or a register with its proof",
		Long: `verify checks every stored value against its checksum, every entry against the
tree of hashes, every seal against the tree, and the journal against the entries.
With --deep it also holds the index against the entries, reads what each of them
says and makes the records of each site.
With --seal FILE it proves that the log extends a seal that was handed over
earlier: that what was sealed is still there, unchanged and in that order.
With --files FOLDER it looks there for each file that was enclosed, by its content:
the same, changed or missing.

A register that was made with --prove is checked without its log: its seal, its
signature, its entries, and that its rows follow from them.

Signatures are checked with the keys given with --key (a public key, or a file
that holds one), else with the laptop's own. It ends with exit code 0 if
everything holds, 1 if something does not or if there are seals and none bears a
known key, 4 if the file is damaged. A log without any seal ends with 0 and says
that nobody stands for it. It changes nothing.`,
		Example: `  coolhold verify
  coolhold verify monday.coolhold --deep
  coolhold verify monday.coolhold --seal monday.seal --key foreman.key
  coolhold verify monday.coolhold --files photos
  coolhold verify register.json --key laptop.pub`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 || len(args) == 1 && log != "" {
				return usage("one log is checked at a time; write coolhold %s", cmd.Use)
			}
			path := logPath(e, log)
			if len(args) == 1 {
				path = args[0]
			}
			if strings.EqualFold(filepath.Ext(path), ".json") {
				if sealFile != "" || deep || files != "" {
					return usage("--seal, --deep and --files are for logs; a register carries what is needed")
				}
				return verifyRegister(e, cmd.OutOrStdout(), path, keys, asJSON)
			}
			v, err := verifyLog(e, path, sealFile, keys, deep)
			if err != nil {
				return err
			}
			if files != "" {
				e.bar.enters("reading the enclosed files")
				if err := v.holdFiles(files); err != nil {
					return err
				}
			}
			if asJSON {
				err = printJSON(cmd.OutOrStdout(), v.json())
			} else {
				err = v.print(cmd.OutOrStdout())
			}
			return errors.Join(err, v.verdict())
		},
	}
	logFlag(cmd, &log)
	cmd.Flags().StringVar(&sealFile, "seal", "", "prove that the log extends the seal in this `file`")
	cmd.Flags().StringVar(&files, "files", "", "look in this `folder` and below it for the files that were enclosed, by their content")
	cmd.Flags().StringArrayVar(&keys, "key", nil, "a public `key` that is trusted, or a file that holds it; may be given more than once")
	cmd.Flags().BoolVar(&deep, "deep", false, "hold the index against the entries and make all records too")
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}

// A checkedSeal is a seal with what was found of it.
type checkedSeal struct {
	seal.Seal
	seq  uint64 // of its entry; 0 for one from a file
	file string
}

// A verification is the check of a log with the signatures of its seals.
type verification struct {
	store.Checkup
	path   string
	faults []store.Fault
	seals  []checkedSeal // those that hold, a given one last

	clocks   clockWatch
	enclosed []logbook.Entry // of files

	filesIn string         // the folder in which enclosed files were looked for; "": they were not
	files   []enclosedFile // each that the log names
}

func verifyLog(e edges, path, sealFile string, given []string, deep bool) (*verification, error) {
	keys, err := knownKeys(e, given)
	if err != nil {
		return nil, err
	}
	var data []byte
	if sealFile != "" {
		if data, err = readSmall(sealFile); err != nil {
			return nil, err
		}
		if _, err := seal.Parse(data); err != nil {
			return nil, exitWith(exitInput, fmt.Errorf("%s: %w", sealFile, err))
		}
	}
	v, err := checkLog(path, deep, keys)
	if err != nil {
		return nil, err
	}
	if sealFile != "" {
		v.hold(checkedSeal{file: sealFile}, data, keys)
	}
	return v, nil
}

// checkLog checks a log and the signatures of the seals in it.
func checkLog(path string, deep bool, keys []note.Verifier) (*verification, error) {
	v := &verification{path: path}
	r, err := store.VerifyLines(context.Background(), path, deep, func(_ []byte, e logbook.Entry) { v.meets(e) })
	if err != nil {
		return nil, exitWith(exitLog, err)
	}
	v.Checkup, v.faults = r, r.Faults
	for _, s := range r.Seals {
		v.hold(checkedSeal{seq: s.Seq}, []byte(s.Sealed.Note), keys)
	}
	return v, nil
}

// meets takes what is asked for of an entry later; one that cannot be read is said as a
// fault.
func (v *verification) meets(e logbook.Entry) {
	if e.Seq == 0 {
		return
	}
	v.clocks.meets(e)
	if e.Kind == (logbook.Enclosed{}).Kind() {
		v.enclosed = append(v.enclosed, e)
	}
}

// hold checks the signatures of a seal, and of one that comes from outside that
// the log extends it. In the log itself a key may be unknown, say of another
// laptop; a seal from outside is worth what its known keys are.
func (v *verification) hold(s checkedSeal, data []byte, keys []note.Verifier) {
	var err error
	s.Seal, err = seal.Verify(data, keys...)
	if s.file == "" && errors.Is(err, seal.ErrUnsigned) {
		err = nil
	}
	if err == nil {
		err = s.ExtendedBy(v.ID, v.Tag, v.Entries, v.Checkup)
	}
	if err != nil {
		v.faults = append(v.faults, store.Fault{What: fmt.Sprintf("the seal in %s does not hold: %v", s.where(), err)})
		return
	}
	v.seals = append(v.seals, s)
}

func (s checkedSeal) where() string {
	if s.file != "" {
		return s.file
	}
	return fmt.Sprintf("entry %d", s.seq)
}

// best is the seal that bears a known key and covers most.
func (v *verification) best() (best checkedSeal, ok bool) {
	for _, s := range v.seals {
		if len(s.Signed) > 0 && s.Entries >= best.Entries {
			best, ok = s, true
		}
	}
	return best, ok
}

// code is the exit code that the faults amount to.
func (v *verification) code() int {
	for _, f := range v.faults {
		if f.Damage {
			return exitLog
		}
	}
	return exitFindings
}

// verdict is the one line for stderr if not everything holds.
func (v *verification) verdict() error {
	if n := len(v.faults); n > 0 {
		todo := "keep the file as it is and hold a copy against it"
		return exitWith(v.code(), fmt.Errorf("%s: %s; %s", v.path, logbook.Clean(more(v.faults[0].What, n)), todo))
	}
	if err := v.filesFault(); err != nil {
		return err
	}
	if _, ok := v.best(); !ok && len(v.seals) > 0 {
		return exitWith(exitFindings, fmt.Errorf("%s: no seal bears a key that is known here, so no signature was checked; give the key with --key", v.path))
	}
	return nil
}

func more(what string, n int) string {
	if n > 1 {
		what += fmt.Sprintf(" (and %d more)", n-1)
	}
	return what
}
