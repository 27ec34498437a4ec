package cluster

import (
	"os"
	"os/exec"
)

func lend(string) error { return nil }

func apart(*exec.Cmd) {}

func interrupt(p *os.Process) error { return p.Kill() }

func killAll(p *os.Process) error { return p.Kill() }
