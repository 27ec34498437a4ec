package desk

import (
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/shell"
)

// Between what the screen shows and the save another program writes: the act is
// refused where it is stored, and the screen shows what stands then.
func TestAnotherProgramWritesBeforeTheSave(t *testing.T) {
	flat := func(b *bench) {
		b.does(acts.ReadLook(b.head("Ona Brill"), b.joint("1A").Stands, logbook.Look{When: logbook.LookRound, Indicators: []string{logbook.Flat}}))
	}
	tests := []struct {
		name    string
		open    func(shell.Env) shell.Screen
		ask     func(*bench) // up to the last answer
		between func(*bench)
		answer  string
		sees    []string
	}{
		{"a fail, and the day is signed", signSunday, func(b *bench) {
			b.keys("enter")
			b.pass(time.Second)
			b.keys("1", "enter")
		}, flat, "Hedda Roan", []string{"not signed: 1 open fail to be seen first", "Open: 10."}},
		{"a joint, and the section is covered", newCover, func(b *bench) { b.keys("enter", "1", "1") }, func(b *bench) {
			b.does(acts.StrikeJoint(b.head("Ona Brill"), "3B", "not needed"))
		}, "Hedda Roan", []string{"what is missing there has changed meanwhile", "6 joints missing"}},
		{"a correction, and the query is accepted", func(shell.Env) shell.Screen { return NewWeld("KM-0006") }, func(b *bench) {
			b.keys("1")
			b.text("Hedda Roan")
		}, func(b *bench) {
			b.does(acts.Correct(b.head("Ona Brill"), "KM-0006", "clamped", logbook.Done, "so Tam says"))
		}, "held by hand", []string{"preparation-could-not:KM-0006: it is found no longer"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b := onBench(t)
			b.outside.SealDay = func(acts.Head, shell.Log, string) (string, error) {
				t.Error("what was refused is sealed")
				return "", nil
			}
			b.show(80, 24, tt.open)
			tt.ask(b)
			tt.between(b)
			before := len(b.log.Entries)
			b.text(tt.answer)
			if len(b.log.Entries) != before {
				t.Fatalf("stored all the same: %+v", b.last())
			}
			b.sees(tt.sees[0])
			b.pass(time.Second)
			b.sees(tt.sees[1:]...)
		})
	}
}
