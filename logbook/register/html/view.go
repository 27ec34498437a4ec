package html

import (
	"cmp"
	"encoding/base64"
	"html/template"

	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
)

// A view is a report as the page goes through it.
type view struct {
	account.Account
	Front    account.Front
	Circuits []account.Circuit
	First    []string // to be read before what is open
	Then     []string // loud too, behind it
	Partly   bool
	Nav      []account.Link
	Drawings []chamber
	Tests    []test
	Pictures []picture
}

// A maker makes what a page has besides its sentences.
type maker struct {
	account.Account
	rep register.Report
}

func viewOf(rep register.Report, step func(done, of int)) view {
	m := maker{account.Of(rep, step), rep}
	first, then := m.Warnings()
	return view{
		First: first, Then: then,
		Account: m.Account, Front: m.Account.Front(), Circuits: m.Account.Circuits(), Partly: rep.Filtered(), Drawings: m.drawings(), Tests: testsOf(m.Pressure), Pictures: m.pictures(),
		Nav: []account.Link{
			{To: "now", Text: "What is open, and who must act"}, {To: "work", Text: "Work by chamber"}, {To: "circuits", Text: account.CircuitsTitle}, {To: "short", Text: "In short"}, {To: "open", Text: "Still open"}, {To: "accepted", Text: "Accepted queries"}, {To: "list", Text: "All joints and welds"}, {To: "drawing", Text: "Drawing"},
			{To: "welds", Text: "Each weld"}, {To: "lapsed", Text: "Accepted once, and not settled now"}, {To: "cut-outs", Text: "Cut-outs and their replacements"}, {To: "corrections", Text: "Corrections"}, {To: "missing", Text: "Not recorded, not enclosed"}, {To: "after-seal", Text: "After the seal"}, {To: "pressure", Text: "Pressure tests"}, {To: "loop", Text: "Flow, purge and fluid"},
			{To: "covered", Text: "Covered with ground"}, {To: "looked-at", Text: "Looked at before welding and cover"}, {To: "signed", Text: "Days signed"}, {To: "events", Text: "What happened later"}, {To: "handover", Text: "Hand-over"}, {To: "files", Text: "Photos and files"},
			{To: "people", Text: "People and control units"}, {To: "tables", Text: "Fusion tables"}, {To: "batches", Text: "Batches"}, {To: "rules", Text: "Rules"}, {To: "source", Text: "Where this comes from"}, {To: "signatures", Text: "Signatures"}, {To: "cautions", Text: "Cautions"},
		},
	}
}

// A picture is a photo made small, or why it is not there to be seen.
type picture struct {
	Src       template.URL // "": it is not there
	W, H      int
	Alt, Says string
}

// pictures are the enclosed photos made small. Where no folder was given to find them in
// there are none: a log holds no photo.
func (m maker) pictures() (out []picture) {
	for _, e := range m.rep.Site.Enclosed {
		p, is := m.rep.Pictures[e.Hash]
		if !is {
			continue
		}
		k := picture{W: p.W, H: p.H, Alt: "Photo: " + cmp.Or(e.What, "what it shows was not said") + ", of " + e.Of(), Says: cmp.Or(e.What, e.File) + ", of " + e.Of()}
		if p.Why != "" {
			k.Says = "Not shown: " + p.Why + ". " + k.Says
		} else {
			k.Src = template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(p.JPEG)) // letters and digits alone
		}
		out = append(out, k)
	}
	return out
}
