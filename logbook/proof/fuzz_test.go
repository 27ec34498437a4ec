package proof

import (
	"bytes"
	"testing"
)

// Of a register with its proof no byte can be another and it still pass; and whatever the
// file, the check ends in words.
func FuzzCheck(f *testing.F) {
	data, _, _, v, _ := worked(f)
	f.Add(0, 0, []byte(nil))
	f.Add(100, 1, []byte("x"))
	f.Add(len(data)-2, 2, []byte("{}"))
	f.Add(0, len(data), []byte(`{"seal":"","proof":{}}`))
	f.Fuzz(func(t *testing.T, at, cut int, in []byte) {
		at = min(max(at, 0), len(data))
		cut = min(max(cut, 0), len(data)-at)
		changed := append(append(bytes.Clone(data[:at]), in...), data[at+cut:]...)
		_, err := Check(changed, "v1", v)
		if same := bytes.Equal(changed, data); same != (err == nil) {
			t.Errorf("%d bytes at %d became %q: %v", cut, at, in, err)
		}
	})
}
