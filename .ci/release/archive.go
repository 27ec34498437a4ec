package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"cmp"
	"compress/gzip"
	"errors"
	"io/fs"
	"slices"
	"time"
)

// A file is one of an archive.
type file struct {
	name string
	data []byte
	runs bool // it is a program
}

func (f file) mode() fs.FileMode {
	if f.runs {
		return 0o755
	}
	return 0o644
}

func inOrder(files []file) []file {
	return slices.SortedFunc(slices.Values(files), func(a, b file) int { return cmp.Compare(a.name, b.name) })
}

// tarred is an archive of files in a folder, all of one time and nobody's.
func tarred(folder string, files []file, at time.Time) ([]byte, error) {
	var buf bytes.Buffer
	packed, err := gzip.NewWriterLevel(&buf, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	w := tar.NewWriter(packed)
	for _, f := range inOrder(files) {
		head := &tar.Header{
			Typeflag: tar.TypeReg, Name: folder + "/" + f.name, Size: int64(len(f.data)), Mode: int64(f.mode()),
			ModTime: at.Truncate(time.Second), Format: tar.FormatUSTAR,
		}
		if err := w.WriteHeader(head); err != nil {
			return nil, err
		}
		if _, err := w.Write(f.data); err != nil {
			return nil, err
		}
	}
	err = errors.Join(w.Close(), packed.Close())
	return buf.Bytes(), err
}

// zipped is the same for Windows.
func zipped(folder string, files []file, at time.Time) ([]byte, error) {
	var buf bytes.Buffer
	w := zip.NewWriter(&buf)
	for _, f := range inOrder(files) {
		head := &zip.FileHeader{Name: folder + "/" + f.name, Method: zip.Deflate, Modified: at.UTC().Truncate(time.Second)}
		head.SetMode(f.mode())
		to, err := w.CreateHeader(head)
		if err != nil {
			return nil, err
		}
		if _, err := to.Write(f.data); err != nil {
			return nil, err
		}
	}
	err := w.Close()
	return buf.Bytes(), err
}
