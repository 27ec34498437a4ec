package store

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"

	"coolhold/logbook/whole"
)

// Copy writes the log as it is now to dst, which must not be there yet
// (ErrExists): under another name first, synced and then named. The shared lock
// is held while it is written, for about 0.1 s for 50 MB. The journal is not copied; that
// of the copy is made anew when the copy is first opened. What was copied is read
// through before it gets its name: a damaged log has no copy that seems to be
// sound (ErrDamaged).
func (l *Log) Copy(ctx context.Context, dst string) error {
	var refused error // before anything was written: it is no fault of dst
	err := publish(dst, func(part string) error {
		var written error
		if refused = l.copyTo(ctx, part, &written); refused != nil || written != nil {
			return cmp.Or(refused, written)
		}
		return undamaged(part, l.path, firstFormat+len(l.steps)) // nobody who saves waits for that
	})
	if refused != nil {
		return refused
	}
	return err
}

// copyTo writes the log to a file that is not there yet. What is wrong with that is told
// apart from what is wrong with the log.
func (l *Log) copyTo(ctx context.Context, part string, written *error) error {
	release, err := l.takeTurn(ctx) // whether the file still is the log that was read is part of it
	if err != nil {
		return err
	}
	defer release()
	return l.session(ctx, false, func(s *session) error {
		if err := s.transact(false, l.ready); err != nil {
			return err
		}
		*written = s.copyPart(part)
		return nil
	})
}

// copyPart copies the log and walks through the copy.
func (s *session) copyPart(part string) error {
	f, err := createOnly(part, os.O_RDWR, own)
	if err != nil {
		return err
	}
	if err = s.writeTo(f); err == nil {
		err = checkAllPages(f, s.path)
	}
	return errors.Join(err, f.Close())
}

// undamaged refuses a copy in which a value is not what was written. What was
// written and does not hold is copied: it may be asked about elsewhere.
func undamaged(part, path string, format int) error {
	r, err := verifyCopy(part, path, checking{format: format})
	if at := slices.IndexFunc(r.Faults, func(f Fault) bool { return f.Damage }); err == nil && at >= 0 {
		return damaged(path, r.Faults[at].What)
	}
	return err
}

// copyFile copies a file that nobody writes to a name that is not taken.
func copyFile(from, to string) error {
	info, err := os.Stat(from)
	if err != nil {
		return err
	}
	if err := whole.CopyOf(from, info.Mode().Perm())(to); err != nil {
		return err
	}
	return whole.SyncFile(to)
}

// writeTo writes the file as the newest transaction left it. It reads the file,
// not the map, and only once its branches were walked through: a file that says it
// is far longer than what it holds would fill a disk.
func (s *session) writeTo(w io.Writer) error {
	busy("copying the log", 0, 0)
	if err := s.copyable(); err != nil {
		return err
	}
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

// fewPages are copied whatever the list of free ones says: a log in which nothing
// else is wrong can be read.
const fewPages = 1 << 16 // 256 MiB

func (s *session) copyable() error {
	h := newest(s.f)
	if h.pages > fewPages {
		return checkForWriting(fileSource{s.f}, s.path, h, false)
	}
	_, err := walk(fileSource{s.f}, s.path, h, false)
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
