package register

import (
	"slices"
	"strings"

	"coolhold/logbook/audit"
)

// A Beside is what is recorded of the site besides its welds, and what of that is open.
type Beside struct {
	What                           string
	Recorded, Fails, Queries, ToDo int
}

// besides are the kinds of it, with what their rules begin with.
var besides = []struct {
	what  string
	rules []string
}{
	{"pressure tests", []string{"pressure-", audit.UntestedSince}},
	{"flow checks", []string{"flow-"}},
	{"purges and fillings", []string{"purge-", "fluid-"}},
	{"looks before welding and cover", []string{"ground-"}},
}

// Besides are those of which anything is recorded or open.
func (rep Report) Besides() (out []Beside) {
	of := map[string]int{"pressure tests": len(rep.Tests), "looks before welding and cover": len(rep.Ground)}
	for _, l := range rep.Loop {
		switch {
		case l.Flow != nil:
			of["flow checks"]++
		case l.Left == nil:
			of["purges and fillings"]++
		}
	}
	for _, k := range besides {
		b := Beside{What: k.what, Recorded: of[k.what]}
		for _, f := range rep.Open {
			if f.Weld != "" || !slices.ContainsFunc(k.rules, func(begins string) bool { return strings.HasPrefix(f.Rule, begins) }) {
				continue
			}
			switch f.Word() {
			case audit.Fail.String():
				b.Fails++
			case audit.Query.String():
				b.Queries++
			default:
				b.ToDo++
			}
		}
		if b != (Beside{What: k.what}) {
			out = append(out, b)
		}
	}
	return out
}
