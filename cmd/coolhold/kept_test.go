package main

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"flag"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var keep = flag.Bool("keep", false, "keep the logs of the scripts of behaviour for every later program to read")

const keptLogs = "testdata/logs"

// What a program of format 2 wrote is read by every later one: the log, and the
// log made anew from its journal. These logs are kept as they were written; what
// is seen of them is written anew by -update, and then read line by line.
func TestKeptLogs(t *testing.T) {
	if testing.Short() || raced {
		t.Skip("one thing is done after another here: there is nothing to race")
	}
	for name, end := range map[string]string{"example": "2026-03-09 09:30", "corrie": "2026-03-20 08:00"} {
		t.Run(name, func(t *testing.T) {
			if *keep {
				keepLog(t, name, behaviour[name].acts(t))
			}
			s := tells(newDoor(t, end))
			unpack(t, name, s.log)
			verify := "verify --deep"
			if key, err := os.ReadFile(filepath.Join(keptLogs, name, "key.txt")); err == nil {
				verify += " --key " + string(key)
			}
			s.wantKept(name, append(keptViews, view{"verify.txt", verify}))
			s.wantSettled(name)
			if err := os.Remove(s.log); err != nil {
				t.Fatal(err)
			}
			s.done("restore")
			s.log += ".restored"
			s.wantKept(name, keptViews)
		})
	}
}

var keptViews = []view{{"register.csv", "register --format csv"}, {"audit.txt", "audit"}, {"order.txt", "order --units 2 --ambient 8"}, {"cover.json", "cover --json"}}

// wantKept holds what is seen of a log against what is kept.
func (s *told) wantKept(name string, views []view) {
	s.t.Helper()
	for _, v := range views {
		seen, code := s.verb(split(v.args)...)
		if code != exitDone && code != exitFindings {
			s.t.Fatalf("%s: exit code %d: %s", v.args, code, seen)
		}
		golden(s.t, filepath.Join("..", "logs", name), v.golden, strings.ReplaceAll(seen, s.log, "LOG"))
	}
}

// wantSettled wants every finding that was settled in a kept log, by acceptance, cover
// or signature, to be settled still and by the same person, whatever it is called by
// now. The list is as it was when the log was kept, and is never written anew.
func (s *told) wantSettled(name string) {
	s.t.Helper()
	was, err := os.ReadFile(filepath.Join(keptLogs, name, "settled.txt"))
	if err != nil {
		s.t.Fatal(err)
	}
	is := s.settled()
	for _, line := range strings.Split(strings.TrimSpace(string(was)), "\n") {
		if !slices.Contains(is, line) {
			s.t.Errorf("%s: not settled any more: %s", name, line)
		}
	}
}

// settled are the findings of a log that nobody must do anything about, each with who
// accepted it.
func (s *told) settled() []string {
	s.t.Helper()
	seen, _ := s.verb("audit", "--json", "--since", "2000-01-01")
	var findings []struct {
		Key      string `json:"key"`
		Settled  bool   `json:"settled"`
		Accepted struct {
			By string `json:"by"`
		} `json:"accepted"`
	}
	if err := json.Unmarshal([]byte(seen), &findings); err != nil {
		s.t.Fatal(err)
	}
	var lines []string
	for _, f := range findings {
		if f.Settled {
			lines = append(lines, strings.TrimSpace(f.Key+" "+f.Accepted.By))
		}
	}
	return lines
}

func keptFile(name, end string) string {
	return filepath.Join(keptLogs, name, "format-2.coolhold"+end+".gz")
}

// unpack puts a kept log and its journal where a person would have them.
func unpack(t *testing.T, name, path string) {
	t.Helper()
	for _, end := range []string{"", ".journal"} {
		packed, err := os.Open(keptFile(name, end))
		if err != nil {
			t.Fatal(err)
		}
		defer packed.Close()
		r, err := gzip.NewReader(packed)
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path+end, text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

var publicHalf = regexp.MustCompile(`coolhold\+[0-9a-f]{8}\+[A-Za-z0-9+/=]+`)

func keepLog(t *testing.T, name string, s *told) {
	t.Helper()
	dir := filepath.Join(keptLogs, name)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if key := publicHalf.FindString(s.said.String()); key != "" {
		if err := os.WriteFile(filepath.Join(dir, "key.txt"), []byte(key), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, end := range []string{"", ".journal"} {
		text, err := os.ReadFile(s.log + end)
		if err != nil {
			t.Fatal(err)
		}
		var packed bytes.Buffer
		w, _ := gzip.NewWriterLevel(&packed, gzip.BestCompression)
		if _, err := w.Write(text); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(keptFile(name, end), packed.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
