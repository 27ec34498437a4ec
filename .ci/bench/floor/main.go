// Floor does what must be done at least for what a verb says, and says nothing:
//
//	floor site LOG NAME     reads the entries of one site and decodes each
//	floor journal LOG       decodes every line of the journal
//	floor scan LOG TEXT     looks for a text in every entry
//
// To decode is what encoding/json makes of a line without knowing its kind.
package main

import (
	"bufio"
	"bytes"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"

	bolt "go.etcd.io/bbolt"
)

func main() {
	var err error
	n := 0
	switch os.Args[1] {
	case "site":
		n, err = site(os.Args[2], os.Args[3])
	case "journal":
		n, err = journal(os.Args[2])
	case "scan":
		n, err = scan(os.Args[2], os.Args[3])
	default:
		err = fmt.Errorf("floor %s: there is none", os.Args[1])
	}
	if err == nil && n == 0 {
		err = fmt.Errorf("nothing was read")
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	fmt.Println(n)
}

func decode(line []byte) error {
	var v any
	return json.Unmarshal(line, &v)
}

func read(path string, f func(*bolt.Tx) error) error {
	db, err := bolt.Open(path, 0, &bolt.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer db.Close()
	return db.View(f)
}

// sum is how long the checksum is that ends each value.
const sum = 4

func site(path, name string) (n int, err error) {
	err = read(path, func(tx *bolt.Tx) error {
		var uid []byte
		sites := tx.Bucket([]byte("site"))
		err := sites.ForEach(func(k, v []byte) error {
			var row struct{ Site string }
			if err := json.Unmarshal(v[:len(v)-sum], &row); err != nil {
				return err
			}
			if row.Site == name {
				uid, _ = hex.DecodeString(string(k))
			}
			return nil
		})
		if err != nil || uid == nil {
			return err
		}
		entries := tx.Bucket([]byte("entry"))
		c := tx.Bucket([]byte("within")).Cursor()
		for k, v := c.Seek(uid); bytes.HasPrefix(k, uid); k, v = c.Next() {
			line := entries.Get(v[:len(v)-sum])
			if err := decode(line[:len(line)-sum]); err != nil {
				return err
			}
			n++
		}
		return nil
	})
	return n, err
}

func journal(path string) (n int, err error) {
	f, err := os.Open(path + ".journal")
	if err != nil {
		return 0, err
	}
	defer f.Close()
	s := bufio.NewScanner(f)
	s.Buffer(nil, 1<<24)
	for s.Scan() {
		line, _, _ := bytes.Cut(s.Bytes(), []byte("\t"))
		if err := decode(line); err != nil {
			return n, err
		}
		n++
	}
	return n, s.Err()
}

func scan(path, text string) (n int, err error) {
	err = read(path, func(tx *bolt.Tx) error {
		return tx.Bucket([]byte("entry")).ForEach(func(_, v []byte) error {
			if bytes.Contains(v, []byte(text)) {
				n++
			}
			return nil
		})
	})
	return n, err
}
