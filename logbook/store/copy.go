package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"coolhold/logbook/whole"
)

// Copy writes the log as it is now to dst, which must not be there yet
// (ErrExists): under another name first, synced and then named. The shared lock
// is held meanwhile, for about 0.1 s for 50 MB. The journal is not copied; that
// of the copy is made anew when the copy is first opened.
func (l *Log) Copy(ctx context.Context, dst string) error {
	release, err := l.takeTurn(ctx) // whether the file still is the log that was read is part of it
	if err != nil {
		return err
	}
	defer release()
	return l.session(ctx, false, func(s *session) error {
		if err := s.transact(false, l.ready); err != nil {
			return err
		}
		return s.copyTo(dst)
	})
}

func (s *session) copyTo(dst string) error { return publish(dst, s.copyPart) }

func (s *session) copyPart(part string) error {
	f, err := createOnly(part, os.O_WRONLY, own)
	if err != nil {
		return err
	}
	return errors.Join(s.writeTo(f), f.Close())
}

// copyFile copies a file that nobody writes to a name that is not taken.
func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	info, err := in.Stat()
	if err != nil {
		return err
	}
	out, err := createOnly(to, os.O_WRONLY, info.Mode().Perm())
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

// writeTo writes the file as the newest transaction left it. It reads the file,
// not the map.
func (s *session) writeTo(w io.Writer) error {
	raw, err := s.db.Begin(false)
	if err != nil {
		return err
	}
	defer func() { _ = raw.Rollback() }()
	_, err = raw.WriteTo(w)
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return damaged(s.path, "it ends too early")
	}
	return err
}

// publish lets write make a file under another name in the folder of path, and
// gives it that name once it is synced. It replaces nothing.
func publish(path string, write func(part string) error) error {
	if err := vacant(path); err != nil {
		return err
	}
	err := whole.New(path, write)
	switch {
	case err == nil, errors.Is(err, ErrExists), errors.Is(err, ErrDamaged), errors.Is(err, whole.ErrUnsynced):
		return err
	case errors.Is(err, fs.ErrExist): // since it was looked for
		return refuse(path, ErrExists, "", "give another name or move it away")
	}
	return fmt.Errorf("%s: not written: %w", path, err)
}

// vacant refuses a name that is taken, or beside which a journal stands: it
// would count as the new file's, and may be all that is left of another log.
func vacant(path string) error {
	for _, name := range []string{path, journalOf(path)} {
		info, err := os.Lstat(name)
		if errors.Is(err, fs.ErrNotExist) || (err == nil && name != path && info.Size() == 0) {
			continue
		}
		if err != nil {
			return fmt.Errorf("%s: not written: %w", path, err)
		}
		return refuse(name, ErrExists, "", "give another name or move it away")
	}
	return nil
}

// syncFolder makes the name of a new file last.
func syncFolder(path string) error { return whole.SyncFolder(path) }
