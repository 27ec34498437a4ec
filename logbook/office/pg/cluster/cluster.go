// Package cluster starts a PostgreSQL of its own in a folder, which nobody else can
// reach: for the example of an office, and for tests. A firm's office runs on a server
// that somebody looks after.
package cluster

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
)

// ErrNone: there is no PostgreSQL on this machine.
var ErrNone = errors.New("no PostgreSQL is found: install it (Debian: apt install postgresql), or name the folder of its programs in COOLHOLD_PG_BIN")

// Find is the folder with the programs of the newest PostgreSQL: the one that is named,
// else that of initdb on the path, else where Debian puts it.
func Find(named string) (string, error) {
	if named != "" {
		return named, has(named)
	}
	if initdb, err := exec.LookPath("initdb"); err == nil {
		if real, err := filepath.EvalSymlinks(initdb); err == nil && has(filepath.Dir(real)) == nil {
			return filepath.Dir(real), nil
		}
	}
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin") // the pattern is ours
	slices.Reverse(found)
	for _, dir := range found {
		if has(dir) == nil {
			return dir, nil
		}
	}
	return "", ErrNone
}

func has(dir string) error {
	for _, name := range []string{"initdb", "postgres"} {
		if _, err := exec.LookPath(filepath.Join(dir, name)); err != nil {
			return fmt.Errorf("%w: there is no %s in %s", ErrNone, name, dir)
		}
	}
	return nil
}

// A Cluster is a server that was started.
type Cluster struct {
	bin, dir string
	cmd      *exec.Cmd
	ended    chan error
	output   *bytes.Buffer
}

// Superuser is the only login there is.
const Superuser = "coolhold"

// patience is how long a server may take to start or to stop.
const patience = time.Minute

// longestDir leaves room for the name of the socket in the 107 bytes that it may have.
const longestDir = 80

// Folder is a new folder that a server can be in: with a short name, and where who it
// runs as can come to. It is for the caller to remove.
func Folder() (string, error) {
	for _, where := range []string{os.TempDir(), "/tmp"} {
		if len(where) <= longestDir && reaches(where) {
			return os.MkdirTemp(where, "ch-")
		}
	}
	return "", fmt.Errorf("no folder for a server: the name of %s is too long, or not everybody may go through it; name another with TMPDIR", os.TempDir())
}

// New makes a server's files in a folder that is to be there and empty. Its path is to
// be short: a socket's name has at most 107 bytes.
func New(ctx context.Context, bin, dir string) (*Cluster, error) {
	if err := lend(dir); err != nil {
		return nil, err
	}
	c := &Cluster{bin: bin, dir: dir}
	return c, c.run(ctx, "initdb", "-D", c.Data(), "-U", Superuser, "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync")
}

// run runs one of the programs to its end.
func (c *Cluster) run(ctx context.Context, name string, args ...string) error {
	cmd := c.command(ctx, name, args...)
	out, err := cmd.CombinedOutput()
	if err != nil {
		return fmt.Errorf("%s: %w: %s", name, err, bytes.TrimSpace(out))
	}
	return nil
}

func (c *Cluster) command(ctx context.Context, name string, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, filepath.Join(c.bin, name), args...)
	cmd.Dir = c.dir
	cmd.Env = append(slices.DeleteFunc(os.Environ(), func(s string) bool { return strings.HasPrefix(s, "PG") }), "LC_ALL=C")
	apart(cmd)
	return cmd
}

// Start starts the server and waits until it answers. Settings are those of its
// configuration, such as "fsync=off".
func (c *Cluster) Start(ctx context.Context, settings ...string) error {
	args := []string{"-D", c.Data(), "-k", c.dir, "-c", "listen_addresses=", "-c", "max_connections=40"}
	for _, s := range settings {
		args = append(args, "-c", s)
	}
	c.output = &bytes.Buffer{}
	c.cmd = c.command(context.Background(), "postgres", args...)
	c.cmd.Stdout, c.cmd.Stderr = io.Discard, c.output
	if err := c.cmd.Start(); err != nil {
		return err
	}
	c.ended = make(chan error, 1)
	go func() { c.ended <- c.cmd.Wait() }()
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	for {
		conn, err := pgx.Connect(ctx, c.Address("postgres"))
		if err == nil {
			return conn.Close(ctx)
		}
		select {
		case end := <-c.ended:
			c.ended <- end
			return fmt.Errorf("the server ended (%v): %s", end, bytes.TrimSpace(c.output.Bytes()))
		case <-ctx.Done():
			return fmt.Errorf("the server does not answer: %w", err)
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// Address is a database of it, as pgx reads it.
func (c *Cluster) Address(database string) string {
	return fmt.Sprintf("host=%s user=%s dbname=%s sslmode=disable", c.dir, Superuser, database)
}

// Stop ends the server; what it was told is on disk.
func (c *Cluster) Stop() error { return c.end(func() error { return interrupt(c.cmd.Process) }) }

// Kill ends the server and all of its processes at once, as a loss of power does but
// for what the system still writes.
func (c *Cluster) Kill() error { return c.end(func() error { return killAll(c.cmd.Process) }) }

func (c *Cluster) end(how func() error) error {
	if c.cmd == nil {
		return nil
	}
	if err := how(); err != nil {
		return err
	}
	select {
	case <-c.ended:
		c.cmd = nil
		return nil
	case <-time.After(patience):
		return errors.New("the server does not end")
	}
}

// Copy makes a copy of a running server's files in another folder, as it takes to start
// it from there (pg_basebackup).
func (c *Cluster) Copy(ctx context.Context, dir string, args ...string) (*Cluster, error) {
	if err := lend(dir); err != nil {
		return nil, err
	}
	to := &Cluster{bin: c.bin, dir: dir}
	return to, c.run(ctx, "pg_basebackup", append([]string{"-h", c.dir, "-U", Superuser, "-D", to.Data(), "-c", "fast"}, args...)...)
}

// Data is where its files are.
func (c *Cluster) Data() string { return filepath.Join(c.dir, "data") }

// Dir is the folder that all of it is in.
func (c *Cluster) Dir() string { return c.dir }
