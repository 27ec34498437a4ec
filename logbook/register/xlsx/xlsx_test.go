package xlsx

import (
	"errors"
	"io"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/register"
)

var errFull = errors.New("disk full")

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestAFullDiskIsSaid(t *testing.T) {
	if err := Write(full{}, register.Report{}, nil); !errors.Is(err, errFull) {
		t.Errorf("%v", err)
	}
}

func TestSteps(t *testing.T) {
	rep := register.Report{Rows: []register.Row{{Weld: logbook.Weld{ID: "KM-0001"}}, {}, {}}}
	last := [2]int{}
	if err := Write(io.Discard, rep, func(done, of int) { last = [2]int{done, of} }); err != nil || last != [2]int{3, 3} {
		t.Errorf("%v, %v", last, err)
	}
}

// A time keeps what the clock on site showed, whatever its zone.
func TestLocal(t *testing.T) {
	at := time.Date(2026, 3, 9, 23, 30, 15, 900, time.FixedZone("", -5*3600))
	if got := local(at); got.Format(time.RFC3339Nano) != "2026-03-09T23:30:15Z" {
		t.Errorf("%v", got)
	}
}
