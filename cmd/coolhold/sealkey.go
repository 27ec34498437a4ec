package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/adrg/xdg"
	"golang.org/x/mod/sumdb/note"

	"coolhold/logbook"
	"coolhold/logbook/seal"
	"coolhold/logbook/whole"
)

// laptopName stands at the signatures of every laptop's own key; the number
// behind it tells them apart.
const laptopName = "coolhold"

// keyPath is where the laptop's own key is kept: outside every log, and not
// copied with one.
func keyPath(e edges) string {
	if env := e.getenv("COOLHOLD_KEY"); env != "" {
		return env
	}
	return filepath.Join(xdg.DataHome, "coolhold", "seal.key")
}

// laptopKey is the laptop's own key, made on first use.
func laptopKey(e edges) (seal.Key, error) {
	path := keyPath(e)
	k, err := readKey(e, path)
	if !errors.Is(err, fs.ErrNotExist) {
		return k, err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return seal.Key{}, exitWith(exitInput, fmt.Errorf("no key can be made: %w", err))
	}
	if k, err = newKey(e, path, laptopName); errors.Is(err, fs.ErrExist) {
		return readKey(e, path) // another program was quicker
	}
	if err == nil {
		fmt.Fprintf(e.err, "coolhold: %s: a key was made for the seals of this laptop; give its public half to whoever will check them: %s\n", logbook.Clean(path), k.Public())
	}
	return k, err
}

// newKey draws a key and writes it to a file that is not there yet, for its
// owner alone.
func newKey(e edges, path, name string) (seal.Key, error) {
	k, err := seal.NewKey(e.rand, name)
	if err != nil {
		return seal.Key{}, usage("%w", err)
	}
	err = whole.New(path, whole.Bytes([]byte(k.Secret()+"\n"), 0o600)) // for its owner alone from the start
	if errors.Is(err, fs.ErrExist) {
		return seal.Key{}, usage("%s is not written: a file of that name is there already; give another name: %w", path, fs.ErrExist)
	}
	if err != nil {
		return seal.Key{}, exitWith(exitInput, saved(path, err))
	}
	return k, nil
}

// readKey reads a secret key and warns if others can read it too.
func readKey(e edges, path string) (seal.Key, error) {
	data, err := readSmall(path)
	if err != nil {
		return seal.Key{}, err
	}
	k, err := seal.ReadKey(string(data))
	if err != nil {
		return seal.Key{}, exitWith(exitInput, fmt.Errorf("%s: %w; name the file of a key that coolhold seal made", path, err))
	}
	info, err := os.Stat(path)
	if err == nil && runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		fmt.Fprintf(e.err, "coolhold: %s can be read by others, who could seal in its name; do: chmod 600 %s\n", logbook.Clean(path), logbook.Clean(path))
	}
	return k, nil
}

// readSmall reads a file of a few lines.
func readSmall(path string) ([]byte, error) { return readAtMost(path, 1<<16-1) }

// readAtMost reads a file up to one byte more than it may have.
func readAtMost(path string, most int64) ([]byte, error) {
	f, err := whole.Open(path)
	if err != nil {
		return nil, unreadable(path, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, unreadable(path, err)
	}
	return data, nil
}

// publicKey reads a public key from the command line or from a file, which may
// hold the secret one.
func publicKey(arg string) (note.Verifier, error) {
	v, _, err := publicWithText("--key ", arg)
	return v, err
}

// publicWithText is the same with its text; flag is how it was given.
func publicWithText(flag, arg string) (v note.Verifier, text string, err error) {
	if v, err := seal.ReadPublic(arg); err == nil {
		return v, strings.TrimSpace(arg), nil
	}
	data, err := readSmall(arg)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, "", usage("%s%q is neither a public key nor a file; coolhold seal --show-key prints one", flag, arg)
	}
	if err != nil {
		return nil, "", err
	}
	text = strings.TrimSpace(string(data))
	if k, err := seal.ReadKey(text); err == nil {
		text = k.Public()
	}
	if v, err = seal.ReadPublic(text); err != nil {
		return nil, "", exitWith(exitInput, fmt.Errorf("%s: %w", arg, err))
	}
	return v, text, nil
}

// knownKeys are the keys given, else the laptop's own if it has one.
func knownKeys(e edges, given []string) (keys []note.Verifier, err error) {
	for _, arg := range given {
		v, err := publicKey(arg)
		if err != nil {
			return nil, err
		}
		keys = append(keys, v)
	}
	if len(given) > 0 {
		return keys, nil
	}
	k, err := readKey(e, keyPath(e))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	v, err := seal.ReadPublic(k.Public())
	return []note.Verifier{v}, err
}
