package crew

import (
	"os"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// OnWeir is a crew on the site of testdata/plans/weir.toml, which has joints of
// several pipes, a fitting of two zones and factory joints. root is the way from
// the test's package to the folder of the module.
func OnWeir(t testing.TB, root string) *Crew {
	t.Helper()
	c := Empty(t)
	table := read(t, root+"/testdata/tables/weir.toml")
	c.Opens(read(t, root+"/testdata/plans/weir.toml"), table)
	c.Do(acts.ReadBack(c.H, logbook.Hash(table)))
	c.StartShift("2026-03-09")
	return c
}

func read(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
