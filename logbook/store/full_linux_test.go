package store

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"coolhold/logbook"
)

// fullEnv makes the test binary a program that saves on a small disk of its own
// that is full.
const fullEnv = "COOLHOLD_STORE_TEST_FULL"

func init() { programs[fullEnv] = saveOnAFullDisk }

// diskSize is that of the small disk, and leaves what is free on it, in pages.
const (
	diskSize = 4 << 20
	leaves   = 30
)

// saveOnAFullDisk mounts a disk at a folder and saves while ever less of it is free,
// and then the same once more with room. It says what each save was said to be and
// what is there, by bbolt alone and in the journal.
func saveOnAFullDisk(dir string) error {
	if err := syscall.Mount("none", dir, "tmpfs", 0, fmt.Sprintf("size=%d", diskSize)); err != nil {
		fmt.Println("no disk:", err)
		return nil
	}
	path, filler := filepath.Join(dir, "site.log"), filepath.Join(dir, "filler")
	l, err := Create(path, NewLog{Tag: "KM"})
	if err != nil {
		return err
	}
	for free := leaves; free >= 0; free-- {
		id := fmt.Sprintf("left%d", free)
		drafts := these(draft(id, logbook.Note{Text: strings.Repeat("x", 20000)}), draft(id, logbook.Note{Text: "y"}))
		if err := fill(dir, filler, free); err != nil {
			return err
		}
		_, err := l.Append(bg, drafts)
		there, lines := countRaw(path, id)
		if err := os.Remove(filler); err != nil {
			return err
		}
		_, again := l.Append(bg, drafts)
		in, inJournal := countRaw(path, id)
		fmt.Printf("%s|%d|%d|%s|%d|%d|%v\n", outcomeOf(err), there, lines, outcomeOf(again), in, inJournal, err)
	}
	return nil
}

// fill leaves so many pages free.
func fill(dir, filler string, pages int) error {
	var st syscall.Statfs_t
	if err := syscall.Statfs(dir, &st); err != nil {
		return err
	}
	return os.WriteFile(filler, make([]byte, max(0, int(st.Bavail)-pages-1)*int(st.Bsize)), 0o600)
}

// countRaw counts the entries of a save in the log and in its journal; -1: the log
// cannot be read.
func countRaw(path, id string) (inLog, inJournal int) {
	mark := []byte(`"` + id + `.`)
	db, err := bolt.Open(path, 0, &bolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		return -1, -1
	}
	defer db.Close()
	err = db.View(func(tx *bolt.Tx) error {
		return tx.Bucket([]byte("entry")).ForEach(func(_, v []byte) error { inLog += bytes.Count(v, mark); return nil })
	})
	data, e := os.ReadFile(path + ".journal")
	if err != nil || e != nil && !os.IsNotExist(e) {
		return -1, -1
	}
	return inLog, bytes.Count(data, mark)
}

// On a disk that is full, however little is left, what is said of a save is so, and
// with room the same save is there once.
func TestOnAFullDisk(t *testing.T) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), fullEnv+"="+t.TempDir())
	cmd.SysProcAttr = &syscall.SysProcAttr{
		Cloneflags:  syscall.CLONE_NEWUSER | syscall.CLONE_NEWNS,
		UidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}},
		GidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}},
	}
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if strings.HasPrefix(string(out), "no disk") || err != nil && errs.Len() == 0 {
		t.Skipf("SKIPPED: no disk can be mounted here: %s %v", out, err)
	}
	if err != nil {
		t.Fatalf("%v: %s", err, errs.String())
	}
	said := map[string]int{}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	for _, line := range lines {
		f := strings.SplitN(line, "|", 7)
		said[f[0]]++
		has, want := f[1]+f[2], map[string]string{"STORED": "22", "STORED WITHOUT JOURNAL": "20", "NOT STORED": "00"}[f[0]]
		if f[0] == "STORED WITHOUT JOURNAL" && f[1] == "2" {
			want = has // the journal may have a part of it
		}
		if has != want || f[3] != "STORED" || f[4] != "2" || f[5] != "2" {
			t.Errorf("said, in log, in journal; then with room: %s", line)
		}
	}
	t.Logf("%d saves on a full disk; said: %v", len(lines), said)
	if len(lines) != leaves+1 || said["STORED"] == 0 || said["NOT STORED"] == 0 {
		t.Errorf("%d saves, said %v: not all of it was seen", len(lines), said)
	}
}
