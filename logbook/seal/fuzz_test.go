package seal

import (
	"bytes"
	"testing"
)

// A key that is read is the key that was written; nothing else is one. A seal bears a
// known key only where just its text was signed.
func FuzzKeys(f *testing.F) {
	k := key(f, 1, "laptop")
	known, err := ReadPublic(k.Public())
	if err != nil {
		f.Fatal(err)
	}
	whole := sealed(f, statement(), k)
	f.Add([]byte(k.Secret()))
	f.Add([]byte(k.Public()))
	f.Add(whole)
	f.Fuzz(func(t *testing.T, data []byte) {
		if k, err := ReadKey(string(data)); err == nil {
			if again, err := ReadKey(k.Secret()); err != nil || again.Public() != k.Public() {
				t.Errorf("%q is another key when read again: %v", data, err)
			}
			if _, err := ReadPublic(k.Public()); err != nil {
				t.Errorf("%q has no public half: %v", data, err)
			}
		}
		if v, err := ReadPublic(string(data)); err == nil && v.Name() == "" {
			t.Errorf("%q is a key without a name", data)
		}
		s, err := Verify(data, known)
		text, _, _ := bytes.Cut(whole, []byte("\n\n"))
		if err == nil && len(s.Signed) > 0 && !bytes.HasPrefix(data, append(bytes.Clone(text), "\n\n"...)) {
			t.Errorf("%q passes as signed", data)
		}
	})
}
