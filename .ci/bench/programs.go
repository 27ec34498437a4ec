//go:build linux

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"syscall"
	"time"
)

// A bench is where it is measured: programs, logs, a folder of its own.
type bench struct {
	dir    string // of the logs
	work   string
	rounds int
	small  bool
	fps    int
}

func (b bench) bin(name string) string { return filepath.Join(b.work, "bin", name) }

// build builds coolhold as it is shipped, and what stands beside it.
func (b bench) build() error {
	for name, pkg := range map[string]string{
		"coolhold": "./cmd/coolhold", "hello": "./.ci/bench/hello", "bare": "./.ci/bench/bare", "floor": "./.ci/bench/floor", "sheet": "./.ci/bench/sheet",
	} {
		cmd := exec.Command("go", "build", "-trimpath", "-ldflags=-s -w", "-o", b.bin(name), pkg)
		cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
		if out, err := cmd.CombinedOutput(); err != nil {
			return fmt.Errorf("%s: %w\n%s", pkg, err, out)
		}
	}
	return nil
}

// env is that of every program: a home of its own, and the key of the seals.
func (b bench) env(log string) []string {
	home := filepath.Join(b.work, "home")
	return []string{
		"HOME=" + home, "XDG_DATA_HOME=" + home, "XDG_CONFIG_HOME=" + home, "XDG_CACHE_HOME=" + home, "COOLHOLD_LOG=" + log,
		"COOLHOLD_KEY=" + filepath.Join(b.work, "key"), "COOLHOLD_THEME=",
	}
}

// A ran is what one run of a program took.
type ran struct {
	ms, cpu, mb float64
	out         []byte
}

// runs runs a program that must end with one of the codes.
func (b bench) runs(log string, codes []int, name string, args ...string) (r ran, err error) {
	return b.runsOn(nil, log, codes, name, args...)
}

// forget lets go what this program took itself: the system begins to count the greatest
// memory of a program with that of the one that starts it.
func forget() {
	debug.FreeOSMemory()
	_ = os.WriteFile("/proc/self/clear_refs", []byte("5"), 0) // where it is not allowed figures are higher
}

func (b bench) runsOn(in []byte, log string, codes []int, name string, args ...string) (r ran, err error) {
	cmd := exec.Command(b.bin(name), args...)
	cmd.Env = append(os.Environ(), b.env(log)...)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	if in != nil {
		cmd.Stdin = bytes.NewReader(in)
	}
	forget()
	began := time.Now()
	err = cmd.Run()
	r.ms = ms(time.Since(began))
	r.out = out.Bytes()
	if cmd.ProcessState == nil {
		return r, err
	}
	for _, c := range codes {
		if cmd.ProcessState.ExitCode() == c {
			err = nil
		}
	}
	if err != nil {
		return r, fmt.Errorf("%s %v: %w\n%s", name, args, err, said.Bytes())
	}
	u := cmd.ProcessState.SysUsage().(*syscall.Rusage)
	r.cpu = float64(u.Utime.Nano()+u.Stime.Nano()) / 1e6
	r.mb = float64(u.Maxrss) / 1024
	return r, nil
}

// aside is a folder for one measurement.
func (b bench) aside() (string, func(), error) {
	dir, err := os.MkdirTemp(b.work, "aside-")
	return dir, func() { os.RemoveAll(dir) }, err
}

// onEach measures at each size, in a folder of its own that is taken away again.
func (b bench) onEach(sizes []size, measure func(size, string) ([]row, error)) (rows []row, err error) {
	for _, s := range sizes {
		dir, done, err := b.aside()
		if err != nil {
			return rows, err
		}
		more, err := measure(s, dir)
		done()
		if err != nil {
			return rows, err
		}
		rows = append(rows, more...)
	}
	return rows, nil
}

// one is a row alone; of one that could not be measured there is none.
func one(r row, err error) ([]row, error) {
	if err != nil {
		return nil, err
	}
	return []row{r}, nil
}
