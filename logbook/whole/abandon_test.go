package whole

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// abandonEnv names the folder of a copy of the test that is told to end.
const abandonEnv = "COOLHOLD_TEST_ABANDON"

// What is being made as a program is told to end is gone, and what stood there stays.
func TestAbandon(t *testing.T) {
	if dir := os.Getenv(abandonEnv); dir != "" {
		abandons(dir)
	}
	dir := t.TempDir()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, "-test.run", "^TestAbandon$")
	cmd.Env = append(os.Environ(), abandonEnv+"="+dir)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	holds(t, dir, map[string]string{"there": "before"})
}

// abandons begins a new file and one in the place of another, and ends in the middle of
// both.
func abandons(dir string) {
	there := filepath.Join(dir, "there")
	if err := New(there, Bytes([]byte("before"), 0o600)); err != nil {
		panic(err)
	}
	half := make(chan error)
	fill := func(part string) error {
		half <- os.WriteFile(part, []byte("ha"), 0o600)
		select {}
	}
	go func() { _ = New(filepath.Join(dir, "new"), fill) }()
	go func() { _ = Replace(there, fill) }()
	for range 2 {
		if err := <-half; err != nil {
			panic(err)
		}
	}
	Abandon()
	os.Exit(0)
}
