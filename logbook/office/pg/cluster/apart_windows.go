package cluster

import (
	"os"
	"os/exec"
)

func lend(string) error { return nil }

func reaches(string) bool { return true }

func apart(*exec.Cmd) {}

func interrupt(p *os.Process) error { return p.Kill() }

func killAll(p *os.Process) error { return p.Kill() }
