package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/office"
	"coolhold/logbook/store"
	"coolhold/logbook/whole"
)

// Names in a folder between laptops and office. The office leaves the last two there.
const (
	parcelEnding  = ".parcel"        // LOGID-FIRST-LAST
	receiptEnding = ".receipt"       // LOGID
	officeKeyFile = "office.key.pub" // one line
)

func parcelName(id string, first, last int64) string {
	return fmt.Sprintf("%s-%d-%d%s", id, first, last, parcelEnding)
}

// toFolder reads the receipts that the office left in a folder and puts parcels there
// with what it lacks.
func (s *sending) toFolder(ctx context.Context, e edges, w io.Writer, dir string) error {
	if err := s.collect(ctx, dir); err != nil {
		return err
	}
	first, err := s.after(ctx)
	if err != nil {
		return err
	}
	if known := max(s.kept.receipt().Entries, s.kept.Waiting); known == 0 || first != known+1 {
		first = 1 // nobody can be asked here
	}
	from, files := first, 0
	for {
		held, err := s.lies(ctx, dir, from)
		if err != nil {
			return err
		}
		if held >= from {
			from = held + 1
			continue
		}
		run, err := s.read(ctx, from, office.ParcelEntries)
		if err != nil {
			return err
		}
		if len(run.Lines) == 0 && (files > 0 || from > first) {
			break // what is there already says what this laptop holds
		}
		if err := s.put(dir, run); err != nil {
			return err
		}
		files, from = files+1, run.Last+1
		if len(run.Lines) == 0 {
			break
		}
	}
	return s.sayFolder(w, dir, files, first)
}

// put writes a parcel into a folder.
func (s *sending) put(dir string, run store.Run) error {
	data, err := s.pack(run)
	if err != nil {
		return err
	}
	name := filepath.Join(dir, parcelName(s.id, run.First, run.Last))
	return exitWith(exitInput, saved(name, whole.Replace(name, whole.Bytes(data, 0o644))))
}

// lies is up to which entry a parcel in the folder holds what is to be sent from an entry
// on; 0 where none does. One that is not whole is none.
func (s *sending) lies(ctx context.Context, dir string, from int64) (int64, error) {
	names, err := os.ReadDir(dir)
	if err != nil {
		return 0, unreadable(dir, err)
	}
	for _, d := range names {
		var last int64
		rest, of := strings.CutPrefix(d.Name(), fmt.Sprintf("%s-%d-", s.id, from))
		if !of {
			continue
		}
		if n, _ := fmt.Sscanf(rest, "%d"+parcelEnding, &last); n != 1 || last < from || d.Name() != parcelName(s.id, from, last) {
			continue
		}
		p, err := readParcel(filepath.Join(dir, d.Name()))
		if err != nil || p.Log != s.id || p.First() != from || p.Entries != last {
			continue
		}
		roots, err := s.roots(ctx, last)
		if err != nil {
			return 0, err
		}
		if roots[0] == p.Root {
			return last, nil
		}
	}
	return 0, nil
}

// readParcel reads a parcel from a file.
func readParcel(name string) (office.Parcel, error) {
	data, err := readAtMost(name, office.MostParcel)
	if err != nil {
		return office.Parcel{}, err
	}
	return office.Read(data)
}

// collect takes the receipt that the office left in a folder, if there is one.
func (s *sending) collect(ctx context.Context, dir string) error {
	name := filepath.Join(dir, s.id+receiptEnding)
	data, err := readSmall(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	public, err := readSmall(filepath.Join(dir, officeKeyFile))
	if err != nil {
		return err
	}
	a := office.Answer{Receipt: string(data), Key: strings.TrimSpace(string(public))}
	r, err := s.receipt(a)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	last := s.kept.receipt()
	if r.Branch == last.Branch && r.Entries < last.Entries && !r.Taken.After(last.Taken) {
		return nil // a stick that lay about
	}
	s.at = s.now()
	roots, err := s.roots(ctx, r.Entries)
	if err != nil {
		return err
	}
	s.kept.Key, s.kept.Withdrawn = a.Key, nil
	switch same := roots[0] == r.Root; {
	case !same && r.Entries > s.entries:
		s.kept.Standing, s.kept.Holds = office.Behind, r.Entries
	case !same: // of another course: all is put there, and the office finds where they part
		s.kept.Receipt = ""
	default:
		s.kept.Receipt, s.kept.Waiting, s.kept.Standing = a.Receipt, 0, ""
		if r.Entries == s.entries {
			s.kept.Standing, s.kept.Upto = office.Level, s.at
		}
		if r.Branch > 0 {
			s.kept.Standing = office.Parted
		}
	}
	return s.kept.write(s.path)
}

// sayFolder says what was put there, and how laptop and office stand by its receipt.
func (s *sending) sayFolder(w io.Writer, dir string, files int, first int64) error {
	if s.kept.Standing == office.Behind || s.kept.Standing == office.Parted && s.kept.Parted > 0 {
		return s.say(w)
	}
	r := s.kept.receipt()
	put := logbook.Count(files, "parcel") + " put there"
	if files == 0 {
		put = "its parcels lie there already"
	}
	if r.Entries >= s.entries {
		says, _ := s.standing()
		_, err := fmt.Fprintln(w, says)
		return err
	}
	if first > s.entries {
		says, _ := s.standing()
		_, err := fmt.Fprintf(w, "%s: a report put there, that log %s has %s; what waits at the office need not be sent again: %s\n", logbook.Clean(dir), s.tag, entries(s.entries), says)
		return err
	}
	_, err := fmt.Fprintf(w, "%s: %s, entries %d to %d of log %s; the office takes them with coolhold office take, and its receipt lies there then\n",
		logbook.Clean(dir), put, first, s.entries, s.tag)
	return err
}
