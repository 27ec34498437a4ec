package main

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"

	"github.com/adrg/xdg"
)

// machine names this machine in every stamp: a digest of the operating system's
// own id, which a copied disk has too, and of an id drawn once and kept in the
// data folder, which a carried folder has too. Where that cannot be kept each
// start of the program counts as another machine, which makes a hold longer.
func machine() string {
	sum := sha256.Sum256([]byte(systemID() + "\n" + ownID(machineFile())))
	return hex.EncodeToString(sum[:8])
}

// machineFile is where the id drawn once is kept.
func machineFile() string { return filepath.Join(xdg.DataHome, "coolhold", "machine") }

// ownID is the id kept in a file, drawn where there is none.
func ownID(file string) string {
	if id, err := os.ReadFile(file); err == nil && len(id) > 0 {
		return string(id)
	}
	id := make([]byte, 16)
	_, _ = rand.Read(id) // never fails
	text := hex.EncodeToString(id)
	if os.MkdirAll(filepath.Dir(file), 0o700) != nil {
		return text
	}
	f, err := os.OpenFile(file, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return text
	}
	defer f.Close()
	_, _ = f.WriteString(text) // unwritten, the next start draws another
	return text
}
