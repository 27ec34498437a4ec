package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"coolhold/cmd/coolhold/example"
	"coolhold/fusion"
	"coolhold/logbook/office/pg/cluster"
)

// The days that the example names find the crew that is silent and no other, whenever in
// the day it is played.
func TestTheCrewThatIsSilentAtAnyTimeOfTheDay(t *testing.T) {
	if _, err := server.database(""); errors.Is(err, cluster.ErrNone) {
		t.Skip(err)
	} else if err != nil {
		t.Fatal(err)
	}
	f := newFirm(t)
	midnight := f.now.Add(-17*time.Hour - 40*time.Minute)
	if at := midnight.Local().Format(time.TimeOnly); at != "00:00:00" {
		t.Fatalf("midnight is at %s", at)
	}
	for _, at := range []time.Duration{0, 18*time.Hour - time.Second, 18*time.Hour + time.Second, 24*time.Hour - time.Second} {
		now := midnight.Add(at)
		f.e.now = func() fusion.Stamp { return now }
		d := demoFirm{e: f.e, dir: t.TempDir(), server: server.c}
		if err := d.play(); err != nil {
			t.Fatal(err)
		}
		got := f.run("office", "silent", "--db", d.address(), "--days", fmt.Sprint(example.SilentDays))
		if lines := strings.Split(got.out, "\n"); got.code != exitFindings || len(lines) != 2 || !strings.Contains(lines[0], "crew dale (invented)") {
			t.Errorf("played at %v: %+v", at, got)
		}
		d.desk.Close()
		admin, err := pgx.Connect(context.Background(), server.c.Address("postgres"))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := admin.Exec(context.Background(), "drop database "+demoDatabase+" with (force)"); err != nil {
			t.Fatal(err)
		}
		if err := admin.Close(context.Background()); err != nil {
			t.Fatal(err)
		}
	}
}
