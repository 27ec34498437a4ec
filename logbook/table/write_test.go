package table

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"
)

// What is written is read as what it was, for every example; and written again it is
// the same text.
func TestWriteIsReadBack(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "tables", "*.toml"))
	if err != nil || len(files) < 3 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		was, err := Parse(data)
		if err != nil {
			t.Fatal(err)
		}
		text := Write(was)
		is, err := Parse([]byte(text))
		if err != nil || !reflect.DeepEqual(is, was) {
			t.Errorf("%s: %v\n%+v\n%+v\n%s", file, err, was, is, text)
		}
		if again := Write(is); again != text {
			t.Errorf("%s: written again\n%s\nafter\n%s", file, again, text)
		}
	}
}

// A text with what means something in TOML stays what it is.
func TestWriteTexts(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "tables", "valley.toml"))
	if err != nil {
		t.Fatal(err)
	}
	was, err := Parse(data)
	if err != nil {
		t.Fatal(err)
	}
	was.Title, was.Fittings[0].Name = `the "old" one # \u0041 'x' = [1]`, `40"`
	if is, err := Parse([]byte(Write(was))); err != nil || !reflect.DeepEqual(is, was) {
		t.Errorf("%v\n%+v", err, is)
	}
}
