package main

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/photo"
	"coolhold/logbook/register"
	"coolhold/logbook/whole"
)

// hashed is a file by name and hash. It may be of any size.
func hashed(name string) (logbook.Enclosed, error) {
	f, err := whole.Open(name)
	if err != nil {
		return logbook.Enclosed{}, unreadable(name, err)
	}
	defer f.Close()
	return hashOf(name, f)
}

func hashOf(name string, f io.Reader) (logbook.Enclosed, error) {
	sum := sha256.New()
	n, err := io.Copy(sum, f)
	if err != nil {
		return logbook.Enclosed{}, unreadable(name, err)
	}
	return logbook.Enclosed{File: filepath.Base(name), Hash: hex.EncodeToString(sum.Sum(nil)), Bytes: n}, nil
}

// readPhoto is a file by name and hash, and what it says of itself where it is a photo by
// its first bytes or by its name.
func readPhoto(name string) (b logbook.Enclosed, said photo.Said, is bool, err error) {
	f, err := whole.Open(name)
	if err != nil {
		return b, said, false, unreadable(name, err)
	}
	defer f.Close()
	if said, is, err = photo.Of(f); err != nil {
		return b, said, false, unreadable(name, err)
	}
	if _, err = f.Seek(0, io.SeekStart); err == nil {
		b, err = hashOf(name, f)
	}
	if err != nil {
		return b, said, false, err
	}
	if !is && namedAsPhoto(name) {
		said, is = photo.Said{Taken: logbook.Taken{None: logbook.TimeBroken}}, true
	}
	if is {
		b.Taken = &said.Taken
	}
	return b, said, is, nil
}

func namedAsPhoto(name string) bool {
	return slices.Contains(photo.Endings, strings.ToLower(filepath.Ext(name)))
}

// filesIn calls each for every plain file of a folder and below it, in the order of their
// names.
func filesIn(dir string, each func(path string, info fs.FileInfo) error) error {
	err := filepath.WalkDir(dir, func(path string, at fs.DirEntry, err error) error {
		if err != nil || !at.Type().IsRegular() {
			return err
		}
		info, err := at.Info()
		if err != nil {
			return err
		}
		return each(path, info)
	})
	var coded *exitError
	if err != nil && !errors.As(err, &coded) {
		return unreadable(dir, err)
	}
	return err
}

// A heap is the files of a folder, by what they hold and by their names.
type heap struct{ byHash, byName map[string]string }

// heapOf looks through a folder for files of these lengths; none: for all.
func heapOf(dir string, lengths map[int64]bool) (heap, error) {
	h := heap{map[string]string{}, map[string]string{}}
	err := filesIn(dir, func(path string, info fs.FileInfo) error {
		h.byName[filepath.Base(path)] = path
		if lengths != nil && !lengths[info.Size()] {
			return nil
		}
		is, err := hashed(path)
		if err == nil {
			h.byHash[is.Hash] = path
		}
		return err
	})
	return h, err
}

// find is where a file that a log names by its hash lies, and how it is found.
func (h heap) find(b logbook.Enclosed) (path, is string) {
	switch {
	case h.byHash[b.Hash] != "":
		return h.byHash[b.Hash], fileSame
	case h.byName[b.File] != "":
		return h.byName[b.File], fileChanged
	}
	return "", fileMissing
}

// pictureEdge is how long a photo is in a document, in dots.
const pictureEdge = 480

// picturesIn makes the photos among the enclosures small that lie in a folder, and says of
// the others why they are not shown. step is told how many are looked at.
func picturesIn(dir string, all []logbook.Enclosure, step func(done, of int)) (register.Pictures, error) {
	h, err := heapOf(dir, lengthsOf(all))
	if err != nil {
		return nil, err
	}
	return h.pictures(all, step)
}

func lengthsOf(all []logbook.Enclosure) map[int64]bool {
	lengths := map[int64]bool{}
	for _, e := range all {
		lengths[e.Bytes] = true
	}
	return lengths
}

// picturesBeside are the pictures of a register that is written from the board: nobody named
// a folder, so that photos are looked for where documents are kept and where the last photo
// was chosen. What cannot be read there holds none. Of a site without photos it is nil.
func picturesBeside(folders []string, all []logbook.Enclosure) (out register.Pictures, says string) {
	photos, shown := map[string]bool{}, 0
	for _, e := range all {
		if e.Taken != nil || namedAsPhoto(e.File) {
			photos[e.Hash] = true
		}
	}
	if len(photos) == 0 {
		return nil, ""
	}
	all = slices.DeleteFunc(slices.Clone(all), func(e logbook.Enclosure) bool { return !photos[e.Hash] })
	h := heap{map[string]string{}, map[string]string{}}
	for _, dir := range folders {
		found, _ := heapOf(dir, lengthsOf(all)) // a stick may be out
		maps.Copy(h.byHash, found.byHash)
		maps.Copy(h.byName, found.byName)
	}
	out, err := h.pictures(all, func(int, int) {})
	if err != nil {
		return nil, " without its photos (" + err.Error() + ")"
	}
	for _, p := range out {
		if p.Why == "" {
			shown++
		}
	}
	return out, fmt.Sprintf(" with %d of %s", shown, logbook.Count(len(photos), "photo"))
}

// pictures makes the photos among the enclosures small that are in the heap.
func (h heap) pictures(all []logbook.Enclosure, step func(done, of int)) (register.Pictures, error) {
	out := register.Pictures{}
	for i, e := range all {
		step(i, len(all))
		if _, had := out[e.Hash]; had {
			continue
		}
		path, is := h.find(e.Enclosed)
		photoish := e.Taken != nil || namedAsPhoto(e.File)
		switch {
		case is == fileSame:
			p, isPhoto, err := pictureOf(path, photoish)
			if err != nil {
				return nil, err
			}
			if isPhoto {
				out[e.Hash] = p
			}
		case photoish && is == fileChanged:
			out[e.Hash] = register.Picture{Why: "the file of this name in the folder has other content than was enclosed"}
		case photoish:
			out[e.Hash] = register.Picture{Why: "nothing in the folder has its content"}
		}
	}
	return out, nil
}

// pictureOf makes one file small. What is none by its first bytes counts where it should be
// one.
func pictureOf(path string, photoish bool) (register.Picture, bool, error) {
	f, err := whole.Open(path)
	if err != nil {
		return register.Picture{}, false, unreadable(path, err)
	}
	defer f.Close()
	said, is, err := photo.Of(f)
	if err != nil {
		return register.Picture{}, false, unreadable(path, err)
	}
	if !is {
		return register.Picture{Why: "the file does not begin as a picture does"}, photoish, nil
	}
	small, err := photo.MakeSmall(f, said, pictureEdge)
	if err != nil {
		return register.Picture{Why: err.Error()}, true, nil
	}
	return register.Picture{JPEG: small.JPEG, W: small.W, H: small.H}, true, nil
}

// photoSays is what a photo says of its time, and of its kind where that is not read.
func photoSays(said photo.Said) string {
	return logbook.Joined(", ", string(cmp.Or(said.Kind, "not a picture by its first bytes")), said.Taken.String())
}

// expanded are the files that are named, with * and ? filled in where no shell did, as
// on Windows.
func expanded(args []string) []string {
	var out []string
	for _, arg := range args {
		found, err := filepath.Glob(arg)
		if err != nil || len(found) == 0 || !strings.ContainsAny(arg, "*?") {
			found = []string{arg}
		}
		out = append(out, found...)
	}
	return out
}
