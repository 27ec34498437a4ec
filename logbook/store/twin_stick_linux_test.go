package store

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
)

// stickEnv is set in the child that has mounts of its own.
const stickEnv = "COOLHOLD_STORE_TEST_STICK"

// A real file system is a stick: it is filled, made read-only, pulled and put in
// again. Where no mount is allowed this is skipped; the tests with other writers
// say the same of made-up ones.
func TestTwinOnAStick(t *testing.T) {
	if os.Getenv(stickEnv) != "" {
		onAStick(t)
		return
	}
	cmd := exec.Command(os.Args[0], "-test.run=^TestTwinOnAStick$", "-test.v")
	cmd.Env = append(os.Environ(), stickEnv+"=1")
	cmd.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWNS}
	if os.Getuid() != 0 {
		cmd.SysProcAttr.Cloneflags |= syscall.CLONE_NEWUSER
		cmd.SysProcAttr.UidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}}
	}
	out, err := cmd.CombinedOutput()
	var ee *exec.ExitError
	if err != nil && !errors.As(err, &ee) || bytes.Contains(out, []byte("no mount is allowed")) {
		t.Skipf("SKIPPED: no stick can be mounted here: %v %s", err, out)
	}
	if err != nil || !bytes.Contains(out, []byte("--- PASS: TestTwinOnAStick")) {
		t.Errorf("%v\n%s", err, out)
	}
}

func mount(t *testing.T, source, target, kind string, flags uintptr, data string) {
	t.Helper()
	if err := syscall.Mount(source, target, kind, flags, data); err != nil {
		t.Fatalf("no mount is allowed: %v", err)
	}
}

func onAStick(t *testing.T) {
	path, _, _ := journalled(t)
	l, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	mount(t, "none", "/", "", syscall.MS_REC|syscall.MS_PRIVATE, "")
	stick, port := t.TempDir(), t.TempDir()
	mount(t, "stick", stick, "tmpfs", 0, "size=128k")
	plug := func() { t.Helper(); mount(t, stick, port, "", syscall.MS_BIND, "") }
	pull := func() {
		t.Helper()
		if err := syscall.Unmount(port, 0); err != nil {
			t.Fatal(err)
		}
	}
	defer func() { _ = syscall.Unmount(stick, syscall.MNT_DETACH) }()
	plug()
	twin := l.Twin(port)
	if err := twin.Make(); err != nil {
		t.Fatal(err)
	}
	follows(t, twin, 5)

	pull()
	note(t, l, "pulled 1")
	note(t, l, "pulled 2")
	if s := twin.Follow(); !errors.Is(s.Err, ErrTwinAway) || s.Behind() != 2 {
		t.Errorf("pulled: %+v", s)
	}
	if names, _ := os.ReadDir(port); len(names) > 0 {
		t.Errorf("begun on the disk of the log: %v", names)
	}
	plug()
	follows(t, twin, 2)
	filled(t, l, twin)

	mount(t, "", port, "", syscall.MS_BIND|syscall.MS_REMOUNT|syscall.MS_RDONLY, "")
	note(t, l, "read only")
	if s := twin.Follow(); !errors.Is(s.Err, ErrTwinStuck) || !errors.Is(s.Err, syscall.EROFS) || s.Behind() != 1 {
		t.Errorf("read-only: %+v", s)
	}
	mount(t, "", port, "", syscall.MS_BIND|syscall.MS_REMOUNT, "")
	follows(t, twin, 1)
	pull()
}

// filled fills the stick with something else, and makes room again.
func filled(t *testing.T, l *Log, twin *Twin) {
	t.Helper()
	junk := filepath.Join(filepath.Dir(twin.path), "photos")
	f, err := os.Create(junk)
	for err == nil {
		_, err = f.Write(make([]byte, 4096))
	}
	f.Close()
	long := bytes.Repeat([]byte("n"), 9000) // more than what is left of the last page
	note(t, l, string(long))
	if s := twin.Follow(); !errors.Is(s.Err, ErrTwinStuck) || !errors.Is(s.Err, syscall.ENOSPC) || s.Behind() != 1 {
		t.Errorf("full: %+v", s)
	}
	note(t, l, "goes on")
	if err := os.Remove(junk); err != nil {
		t.Fatal(err)
	}
	follows(t, twin, 2)
}
