package account

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

// least is how many bytes a photo or a certificate has at least: our choice.
const least = 1024

// missing is what a reader looks for that nobody recorded or enclosed, as far as no rule
// asks for it: a day from paper has no shift, so no date of a card or a unit.
func (m maker) missing() Chapter {
	c := Chapter{ID: "missing", Title: "Not recorded, not enclosed"}
	c.Items = slices.Concat(m.undated(), m.smallFiles(), m.cited())
	if len(c.Items) == 0 {
		c.Intro = []string{"Of every fused weld the end of the operator's qualification and the unit's last calibration are recorded, no enclosed file is smaller than 1 kB, and no photo is spoken of where none is enclosed."}
		return c
	}
	c.Intro = []string{"What a reader looks for and nobody recorded or enclosed. Ask the firm for it."}
	return c
}

// undated are the operators and units of fused welds of which a number or a date is not
// recorded, each with those welds.
func (m maker) undated() (out []Item) {
	type lack struct{ who, what string }
	var order []lack
	welds := map[lack][]string{}
	add := func(who, what string, row register.Row) {
		k := lack{who, what}
		if welds[k] == nil {
			order = append(order, k)
		}
		welds[k] = append(welds[k], row.Weld.ID)
	}
	for _, row := range m.rep.Rows {
		if !row.Weld.Fused() {
			continue
		}
		for _, k := range []struct{ who, column, what string }{
			{prefixed("Operator ", row.Weld.Operator), "operator_number", "number of the qualification"},
			{prefixed("Operator ", row.Weld.Operator), "operator_expiry", "end of the qualification"},
			{prefixed("Control unit ", row.Weld.Unit), "unit_calibrated", "date of the last calibration"},
		} {
			if k.who != "" && row.Cell(k.column) == nil {
				add(k.who, k.what, row)
			}
		}
	}
	for _, k := range order {
		out = append(out, Item{Head: k.who, Says: k.what + " not recorded, of " + logbook.Count(len(welds[k]), "weld") + ": " + audit.AllRuns(welds[k]) + "."})
	}
	return out
}

// smallFiles are the files that are too small to show anything.
func (m maker) smallFiles() (out []Item) {
	for _, e := range m.rep.Site.Enclosed {
		if e.Bytes < least {
			out = append(out, Item{Head: "File " + e.File, About: []Link{{m.anchors.weld[e.Weld], e.Of()}}, Says: fmt.Sprintf("it has %d bytes: no photo and no certificate is so small.", e.Bytes)})
		}
	}
	return out
}

// cited are the welds of which somebody speaks of a photo, and none is enclosed.
func (m maker) cited() (out []Item) {
	enclosed := map[string]bool{}
	for _, e := range m.rep.Site.Enclosed {
		enclosed[e.Weld], enclosed[e.Joint] = true, true
	}
	for i, row := range m.rep.Rows {
		w := row.Weld
		if w.ID == "" || enclosed[w.ID] || row.Joint.Label != "" && enclosed[row.Joint.Label] {
			continue
		}
		var said []string
		add := func(text, by string) {
			if speaksOfPhoto(text) && !slices.Contains(said, text+" ("+by+")") {
				said = append(said, text+" ("+by+")")
			}
		}
		for _, n := range w.Notes {
			add(n.Text, n.By)
		}
		for _, k := range w.Corrections {
			add(k.Why, k.By)
		}
		for _, v := range w.Reviews {
			add(v.Why, v.By)
		}
		if len(said) > 0 {
			out = append(out, Item{Head: "Photo spoken of and not enclosed", About: m.links([]int{i}), Says: stop(strings.Join(said, "; "))})
		}
	}
	return out
}

func speaksOfPhoto(text string) bool {
	text = strings.ToLower(text)
	return strings.Contains(text, "photo") || strings.Contains(text, "picture")
}
