package tui

import (
	"os"
	"testing"

	"coolhold/logbook/acts"
)

func fileOf(t testing.TB, name string) acts.File {
	t.Helper()
	text, err := os.ReadFile("../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return acts.File{Name: name, Text: string(text)}
}

// A table is compared with its print only once all of it was on the screen.
func TestATableIsReadBackToItsEnd(t *testing.T) {
	d := drive(t, hillfoot(t), monday, 60, 20)
	d.keys("5")
	d.sees("NOT read back", "more: ↓")
	d.keys("enter")
	d.sees("first read to the end of the table")
	d.lacks("every figure is as printed")
	for range 80 {
		d.keys("down")
	}
	d.lacks("more: ↓")
	d.keys("up")
	d.sees("2 more: ↓") // it stops at the end and does not count on
	d.keys("pgup", "pgdown", "pgdown", "enter")
	d.sees("every figure is as printed")
	d.keys("1")
	d.text("Ada")
	d.sees("(read back by")
}
