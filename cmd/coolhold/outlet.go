package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook/whole"
)

// An outlet is where a verb's document goes: stdout, or a file that is written whole or
// not at all.
type outlet struct {
	file  string
	force bool
}

// flags are those of an outlet; what is the document in words.
func (o *outlet) flags(cmd *cobra.Command, what string) {
	cmd.Flags().StringVar(&o.file, "out", "", fmt.Sprintf("write %s to this `file` instead of stdout, whole or not at all", what))
	cmd.PreRunE = func(*cobra.Command, []string) error { return o.check() } // before a seal is stored for it
	cmd.Flags().BoolVar(&o.force, "force", false, "replace the file of --out if it is there already; never a log, its companions, or a key")
}

// check refuses a file that must not be written, before anything is done for it.
func (o outlet) check() error {
	if o.file == "" {
		return nil
	}
	if what := companion(o.file); what != "" {
		return usage("%s is not written: that is the name of %s; give another name", o.file, what)
	}
	info, err := os.Stat(filepath.Dir(o.file))
	if err != nil || !info.IsDir() {
		return exitWith(exitFindings, fmt.Errorf("%s is not written: there is no folder %s", o.file, filepath.Dir(o.file)))
	}
	info, err = os.Lstat(o.file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return exitWith(exitInput, saved(o.file, err))
	case !info.Mode().IsRegular():
		return exitWith(exitInput, saved(o.file, whole.ErrNoFile))
	}
	if what := precious(o.file); what != "" {
		return usage("%s is not written: %s stands there, and none is ever replaced; give another name", o.file, what)
	}
	if !o.force {
		return usage("%s is not written: a file of that name is there already; give another name, or --force to replace it", o.file)
	}
	return nil
}

// deliver writes data there.
func (o outlet) deliver(w io.Writer, data []byte) error {
	if o.file == "" {
		_, err := w.Write(data)
		return err
	}
	if err := o.check(); err != nil {
		return err
	}
	put, perm := whole.New, fs.FileMode(0o666) // a file that came meanwhile is not replaced; the umask says who may read
	if info, err := os.Lstat(o.file); o.force {
		put = whole.Replace
		if err == nil {
			perm = info.Mode().Perm() // for no moment others than might before
		}
	}
	return saved(o.file, put(o.file, whole.Bytes(data, perm)))
}

// companion says what a log keeps beside it under such a name.
func companion(file string) string {
	for ending, what := range map[string]string{".journal": "a log's journal", ".beat": "a log's heartbeat", ".office": "what is known of a log's office"} {
		if strings.HasSuffix(strings.ToLower(file), ending) {
			return what
		}
	}
	return ""
}

// boltMagic stands in the first two pages of a log (go.etcd.io/bbolt), 16 bytes in; a
// page is 4,096 bytes or more.
const boltMagic = 0xED0CDAED

// precious says what must never be replaced, as its first bytes tell. One that cannot
// be read is taken for such.
func precious(file string) string {
	f, err := os.Open(file)
	if err != nil {
		return "a file that cannot be read"
	}
	defer f.Close()
	head := make([]byte, 64<<10)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return "a file that cannot be read"
	}
	head = head[:n]
	switch {
	case isLog(head):
		return "a log"
	case bytes.HasPrefix(head, []byte(`{"journal":`)):
		return "the journal of a log"
	case bytes.HasPrefix(head, []byte("PRIVATE+KEY+")):
		return "a secret key"
	}
	return ""
}

// isLog tells whether one of the first two pages of a file begins as those of a log do,
// whatever the size of a page.
func isLog(head []byte) bool {
	for at := 16; at+4 <= len(head); {
		if binary.LittleEndian.Uint32(head[at:]) == boltMagic || binary.BigEndian.Uint32(head[at:]) == boltMagic {
			return true
		}
		if at == 16 {
			at += 1024
			continue
		}
		at = (at-16)*2 + 16
	}
	return false
}
