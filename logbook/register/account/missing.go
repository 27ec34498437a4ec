package account

import (
	"fmt"
	"slices"
	"strings"
)

// least is how many bytes a photo or a certificate has at least: our choice.
const least = 1024

// missing is what a reader looks for that nobody recorded or enclosed, as far as no rule
// asks for it: a day from paper has no shift, so no date of a card or a unit.
func (m maker) missing() Chapter {
	c := Chapter{ID: "missing", Title: "Not recorded, not enclosed"}
	c.Items = slices.Concat(m.undated(), m.unrecordedByKind(), m.smallFiles(), m.cited())
	if len(c.Items) == 0 {
		c.Intro = []string{"Of every fused weld that is in its joint batches, number and end of the operator's qualification, the unit's last calibration, weather, preparation, settings and readings, release and looks are recorded, no enclosed file is smaller than 1 kB, and no photo is spoken of where none is enclosed."}
		return c
	}
	c.Intro = []string{"What a reader looks for and nobody recorded or enclosed. Ask the firm for it."}
	return c
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
