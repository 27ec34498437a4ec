package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/whole"
)

func newEnclose(e edges) *cobra.Command {
	var log, site, by, weld, joint, what string
	cmd := &cobra.Command{
		Use:   "enclose FILE --what TEXT --by NAME",
		Short: "Name a certificate or photo that belongs to the record, by its hash",
		Long: `enclose keeps the name and the hash of a file, so that it can be told later that
the file is still the one that was meant. The file itself is not taken in: keep it
with the register. A second run for the same content changes nothing.`,
		Example: `  coolhold enclose calibration.pdf --what "calibration of CU-208" --by "Bo Invented"
  coolhold enclose p1.jpg --what "indicators after fusion" --weld KM-0012 --by "Bo Invented"`,
		Args: oneFile,
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case strings.TrimSpace(by) == "" || strings.TrimSpace(what) == "":
				return usage("--what and --by are needed; write coolhold %s", cmd.Use)
			case weld != "" && joint != "":
				return usage("name a weld or a joint, not both")
			}
			b, err := enclosed(args[0], what)
			if err != nil {
				return err
			}
			done, err := deedOn(logPath(e, log), site, head(e, by)).write(func(s scene) (acts.Act, error) {
				if joint == "" {
					return acts.Enclose(s.head, weld, "", b), nil
				}
				j, err := jointOf(s, s.site, joint)
				return acts.Enclose(s.head, "", j.Label, b), err
			})
			if errors.Is(err, logbook.ErrExists) {
				fmt.Fprintf(cmd.OutOrStdout(), "%s: %s with this content is there already; nothing was changed\n", done.site.ID, logbook.Clean(b.File))
				return nil
			}
			if err == nil {
				fmt.Fprintf(cmd.OutOrStdout(), "%s: %s\n", done.site.ID, logbook.Clean(b.Line()))
			}
			return err
		},
	}
	logFlag(cmd, &log)
	cmd.Flags().StringVar(&site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(&what, "what", "", "`text`: what the file is")
	cmd.Flags().StringVar(&by, "by", "", "`name` of the person who encloses it")
	cmd.Flags().StringVar(&weld, "weld", "", "`number` of the weld it is about")
	cmd.Flags().StringVar(&joint, "joint", "", "`label` of the joint it is about")
	return cmd
}

// enclosed is a file by name and hash. It may be of any size.
func enclosed(name, what string) (logbook.Enclosed, error) {
	f, err := whole.Open(name)
	if err != nil {
		return logbook.Enclosed{}, unreadable(name, err)
	}
	defer f.Close()
	sum := sha256.New()
	n, err := io.Copy(sum, f)
	if err != nil {
		return logbook.Enclosed{}, unreadable(name, err)
	}
	return logbook.Enclosed{File: filepath.Base(name), Hash: hex.EncodeToString(sum.Sum(nil)), Bytes: n, What: what}, nil
}
