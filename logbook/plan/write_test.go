package plan

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"
)

// What is written is read as what it was, for every example; and written again it is
// the same text.
func TestWriteIsReadBack(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "plans", "*.toml"))
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
		was.ScrapedMin, was.PressureTest = 45, BeforeCover // invented
		was.BeforeWelding, was.BeforeCover, was.LeastCoverM, was.SetOutWithinM = KnownBeforeWelding, KnownBeforeCover, 0.9, 0.02
		for i := range was.Chambers {
			was.Chambers[i].LevelM, was.Chambers[i].LidM = new(0.0), new(-1.25)
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
