//go:build unix

package cluster

import (
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// nobody is who a server runs as where we are root, which it refuses.
func nobody() (uid, gid int, needed bool) {
	if os.Getuid() != 0 {
		return 0, 0, false
	}
	u, err := user.Lookup("nobody")
	if err != nil {
		return 0, 0, false
	}
	uid, err = strconv.Atoi(u.Uid)
	if err == nil {
		gid, err = strconv.Atoi(u.Gid)
	}
	return uid, gid, err == nil
}

// lend gives a folder to who the server runs as.
func lend(dir string) error {
	if uid, gid, needed := nobody(); needed {
		return os.Chown(dir, uid, gid)
	}
	return nil
}

// reaches tells whether who the server runs as can come to a folder.
func reaches(dir string) bool {
	if _, _, needed := nobody(); !needed {
		return true
	}
	for ; ; dir = filepath.Dir(dir) {
		info, err := os.Stat(dir)
		if err != nil || info.Mode()&1 == 0 {
			return false
		}
		if dir == filepath.Dir(dir) {
			return true
		}
	}
}

// apart lets a program run as that account, in a group of its own so that all of it can
// be ended.
func apart(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	if uid, gid, needed := nobody(); needed {
		cmd.SysProcAttr.Credential = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
	}
}

func interrupt(p *os.Process) error { return p.Signal(syscall.SIGINT) } // "fast": it rolls back and ends

// killAll kills a server and its processes, which the system lists; where it does not,
// the server is told to end at once without saving anything.
func killAll(p *os.Process) error {
	list, err := os.ReadFile(fmt.Sprintf("/proc/%d/task/%d/children", p.Pid, p.Pid))
	if err != nil {
		return p.Signal(syscall.SIGQUIT)
	}
	err = p.Kill()
	for _, child := range strings.Fields(string(list)) {
		if pid, bad := strconv.Atoi(child); bad == nil {
			_ = syscall.Kill(pid, syscall.SIGKILL) // it may have ended by itself
		}
	}
	return err
}
