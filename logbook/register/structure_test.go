package register_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/thedatashed/xlsxreader"

	"coolhold/logbook/register"
	"coolhold/logbook/register/xlsx"
)

// What is a sentence in other formats is parts in the JSON: each line of the card, each look
// with what was seen, each finding as in the list of all.
func TestStructureInJSON(t *testing.T) {
	rep := register.Sample(t)
	var out bytes.Buffer
	if err := register.JSON(&out, rep); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Version  int
		Findings []struct{ Key, Weld string }
		Rows     []struct {
			Weld        string
			Preparation []register.Prepared
			Looks       []register.LookedAt
			Findings    []struct{ Key, Says string }
		}
	}
	if err := json.Unmarshal(out.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	if doc.Version != register.Version {
		t.Errorf("version %d", doc.Version)
	}
	keys := map[string]string{}
	for _, f := range doc.Findings {
		keys[f.Key] = f.Weld
	}
	looks, answers, found := 0, 0, 0
	for i, row := range doc.Rows {
		w := rep.Rows[i].Weld
		if row.Weld == "" {
			if row.Preparation != nil || row.Looks != nil || row.Findings != nil {
				t.Errorf("a joint without a weld has %+v", row)
			}
			continue
		}
		if len(row.Preparation) != len(w.PrepItems()) || len(row.Looks) != len(w.Looks) || len(row.Findings) != len(rep.Rows[i].Findings) {
			t.Errorf("%s: %d lines, %d looks, %d findings", row.Weld, len(row.Preparation), len(row.Looks), len(row.Findings))
		}
		for _, p := range row.Preparation {
			if words := w.Answered(p.Item); (p.Answer == nil) != (words == "") || p.Answer != nil && *p.Answer != words {
				t.Errorf("%s, %s: %v, want %q", row.Weld, p.Item, p.Answer, words)
			}
			if p.Answer != nil {
				answers++
			}
		}
		for k, l := range row.Looks {
			sides, _ := l.Saw["indicators"].([]any)
			if l.By != w.Looks[k].By || len(sides) != len(w.Looks[k].Indicators) {
				t.Errorf("%s, look %d: %+v", row.Weld, k, l)
			}
			looks += len(sides)
		}
		for _, f := range row.Findings {
			if found++; keys[f.Key] != row.Weld || f.Says == "" {
				t.Errorf("%s: finding %q is of %q", row.Weld, f.Key, keys[f.Key])
			}
		}
	}
	if looks < 4 || answers < 10 || found < 2 {
		t.Errorf("seen: %d sides, %d answers, %d findings", looks, answers, found)
	}
}

// What a clerk asks stands in a cell of its own: a pipe's metres and joints, who corrected
// what and when, what is open, whose card runs out.
func TestAClerkFindsIt(t *testing.T) {
	rep := register.Sample(t)
	book := workbook(t, rep)
	for i, row := range named(book[xlsx.Corrections]) {
		c := rep.Corrections()[i]
		if row["weld"].Value != c.Weld || row["corrected by"].Value != c.By || !strings.HasPrefix(row["corrected on"].Value, c.At[:16]) || row["corrected on"].Type != "datetime" {
			t.Errorf("correction %+v, want %+v", row, c)
		}
	}
	open := 0
	for _, row := range named(book[xlsx.Findings]) {
		if row["still open"].Value == "yes" {
			open++
		}
	}
	if open != len(rep.Open) || open == 0 {
		t.Errorf("%d findings are open in the workbook, %d in the report", open, len(rep.Open))
	}
	cards := 0
	for _, row := range named(book[xlsx.People]) {
		if at, ok := row["expires"]; ok {
			if cards++; at.Type != "datetime" {
				t.Errorf("%s: expires %+v", row["name"].Value, at)
			}
		}
	}
	if cards == 0 {
		t.Error("no card runs out")
	}
	if len(rep.Corrections()) == 0 {
		t.Error("nothing is corrected")
	}
}

// Each joint stands under the circuit or header that it is on, once.
func TestPipesAndTheirJoints(t *testing.T) {
	rep := register.Pressed(t)
	book := workbook(t, rep)
	joints, of := 0, map[string]map[string]xlsxreader.Cell{}
	for _, row := range named(book[xlsx.Register]) {
		of[row["joint"].Value] = row
	}
	for _, row := range pipeRows(t, rep) {
		labels := strings.Split(row["which joints"].Value, ", ")
		if row["joints"].Value != fmt.Sprint(len(labels)) {
			t.Errorf("%s joints, named are %q", row["joints"].Value, labels)
		}
		for _, label := range labels {
			joints++
			if j := of[label]; j["joint"].Value == "" || j["circuit"].Value != row["circuit"].Value || j["header"].Value != row["header"].Value {
				t.Errorf("joint %s stands under circuit %q, header %q", label, row["circuit"].Value, row["header"].Value)
			}
		}
	}
	if pipes := len(pipeRows(t, rep)); pipes < 3 || joints < 4 {
		t.Errorf("%d pipes, %d joints", pipes, joints)
	}
}
