package register

import (
	"bytes"
	"cmp"
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode"
	"unicode/utf16"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// Version is that of the Document. What only adds to it (a member, a column, a word of a
// list) keeps it; what takes away, renames, or gives a value another type or meaning is the
// next one.
const Version = 2

// Schema is the JSON Schema (2020-12) of a Document.
//
//go:embed register.schema.json
var Schema []byte

// A Document is the register as JSON, the lossless form.
type Document struct {
	Format    string              `json:"format"`
	Version   int                 `json:"version"`
	Program   string              `json:"program,omitempty"`
	Site      string              `json:"site"`
	Client    string              `json:"client"`
	Firm      string              `json:"firm"`
	Address   string              `json:"address"`
	Contract  string              `json:"contract"`
	Log       string              `json:"log"` // the first of Logs
	Logs      []Log               `json:"logs"`
	AsOf      string              `json:"as_of"`
	Says      string              `json:"says"`
	Filter    string              `json:"filter"` // what is listed, in words; "" for everything
	Seal      string              `json:"seal"`   // which entries are sealed, in words; the seals stand with the logs
	Counts    []Count             `json:"counts"`
	People    []Person            `json:"people"`
	Named     []Named             `json:"people_named,omitempty"` // on the list of the site, with role and firm
	Units     []Device            `json:"units"`
	Tables    []DocumentTable     `json:"tables"`
	Plans     []Plan              `json:"plans"`
	OneSite   []OneSite           `json:"one_site,omitempty"` // who said that the logs have one site
	Findings  []audit.Finding     `json:"findings"`
	Corrected []Correction        `json:"corrections"`
	Enclosed  []logbook.Enclosure `json:"enclosures"`
	Covers    []logbook.Cover     `json:"covers"`
	Tests     []audit.TestRecord  `json:"pressure_tests"`
	Loop      []LoopReading       `json:"loop"`                      // flow checks, purges and fillings
	Ground    []GroundLook        `json:"ground,omitempty"`          // looks at sections before they were welded or covered
	Parts     []GroundPart        `json:"ground_sections,omitempty"` // what the plan wants looked at there, and what was
	Signed    []SignedDay         `json:"days_signed"`
	Events    []logbook.Told      `json:"events"` // what happened after the welds were made
	Columns   []string            `json:"columns"`
	Rows      []map[string]any    `json:"rows"`
	Proof     any                 `json:"proof,omitempty"`
}

// A DocumentTable names a fusion table that the site uses.
type DocumentTable struct {
	Hash     string `json:"hash"`
	Title    string `json:"title"`
	Source   string `json:"source"`
	File     string `json:"file"`
	ReadBack string `json:"read_back"` // by whom, or ""
}

// A SignedDay is a day closed by name, with each fail as it was acknowledged.
type SignedDay struct {
	Day  string `json:"day"`
	Acks []Ack  `json:"acks,omitempty"`
	Open int    `json:"open"`
	logbook.Signature
}

// An Ack is a finding that somebody had seen, and what it said.
type Ack struct {
	Key   string `json:"key"`
	Facts string `json:"facts"`
}

func signedDays(days []logbook.SignedDay) []SignedDay {
	out := []SignedDay{}
	for _, d := range days {
		s := SignedDay{Day: d.Day, Open: d.Open, Signature: d.Signature}
		for _, a := range d.Acks {
			s.Acks = append(s.Acks, Ack{a.Key, audit.Tell(a)})
		}
		out = append(out, s)
	}
	return out
}

// Caveat stands in every register: what the list is and is not.
const Caveat = "The list says what was recorded. \"clear\" means that no fault is recorded; it does not say that a weld is good."

// JSON writes the report as one Document. Every row has every column; what is
// not known is null.
func JSON(w io.Writer, rep Report) error {
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	if err := enc.Encode(document(rep)); err != nil {
		return err
	}
	_, err := io.WriteString(w, Shown(text.String()))
	return err
}

func document(rep Report) Document {
	s := rep.Site
	doc := Document{
		Format: "coolhold register", Version: Version, Program: rep.Program, Site: s.Name, Client: s.Client, Firm: s.Firm, Address: s.Address, Contract: s.Contract,
		Logs: list(rep.Logs), AsOf: rep.AsOf.Format(time.RFC3339), Says: Caveat, Filter: rep.FilterLine(), Seal: rep.SealLine(),
		Counts: list(rep.Counts), People: list(rep.People), Named: rep.Named, Units: list(rep.Units), Findings: list(rep.Findings),
		Corrected: list(rep.Corrections()), Enclosed: list(s.Enclosed), Covers: list(s.Covers), Tests: documentTests(rep), Loop: list(rep.Loop), Ground: rep.Ground, Parts: rep.Parts, Signed: signedDays(s.Signed), Events: happenings(s.Events),
		Tables: []DocumentTable{}, Plans: Plans(s), OneSite: OneSites(s), Rows: []map[string]any{}, Proof: rep.Proof,
	}
	if len(rep.Logs) > 0 {
		doc.Log = rep.Logs[0].ID
	}
	for _, t := range rep.Tables {
		doc.Tables = append(doc.Tables, DocumentTable{t.Hash, t.TableRef.Title, t.Source, t.File, t.ReadBack})
	}
	for _, c := range Columns {
		doc.Columns = append(doc.Columns, c.Name)
	}
	for _, row := range rep.Rows {
		doc.Rows = append(doc.Rows, object(row))
	}
	return doc
}

func happenings(events []logbook.Event) []logbook.Told {
	out := make([]logbook.Told, len(events))
	for i, e := range events {
		out[i] = e.Told()
	}
	return out
}

// list is never null in JSON.
func list[T any](s []T) []T { return append([]T{}, s...) }

func object(row Row) map[string]any {
	m := map[string]any{}
	for _, c := range Columns {
		v := c.Cell(row)
		if t, ok := v.(time.Time); ok {
			v = t.Format(time.RFC3339)
		}
		if parts := structured[c.Name]; parts != nil {
			v = nil
			if row.Weld.ID != "" {
				v = parts(row)
			}
		}
		m[c.Name] = v
	}
	return m
}

// structured are the columns that are a sentence elsewhere and a list of objects here; of a
// row without a weld they are null.
var structured = map[string]func(Row) any{
	"preparation": func(r Row) any { return prepared(r.Weld) },
	"looks":       func(r Row) any { return looked(r.Weld) },
	"findings":    func(r Row) any { return list(r.Findings) },
}

// A Prepared is one line of the card as a weld has it.
type Prepared struct {
	Item   string  `json:"item"`
	Name   string  `json:"name"`
	Answer *string `json:"answer"` // in words; nil: not answered
	How    string  `json:"how,omitempty"`
	Why    string  `json:"why,omitempty"`
	At     string  `json:"at,omitempty"` // local time, RFC 3339
}

func prepared(w logbook.Weld) []Prepared {
	out := []Prepared{}
	for _, item := range w.PrepItems() {
		p, a := Prepared{Item: item.Item, Name: item.Name}, w.Answers[item.Item]
		if a.V != "" {
			words := w.Answered(item.Item)
			p.Answer, p.How, p.Why = &words, string(a.How), a.Because()
			if a.At != nil {
				p.At = a.At.Local().Format(time.RFC3339)
			}
		}
		out = append(out, p)
	}
	return out
}

// A LookedAt is one look at a weld: what was seen, by whom, when.
type LookedAt struct {
	Occasion string         `json:"occasion"`
	By       string         `json:"by"`
	At       string         `json:"at"` // local time, RFC 3339; as stated where it was entered later
	DayOnly  bool           `json:"day_only,omitempty"`
	Saw      map[string]any `json:"saw"` // in words; the indicators one a side
}

func looked(w logbook.Weld) []LookedAt {
	out := []LookedAt{}
	for _, l := range w.Looks {
		at := l.At.Local()
		if l.Stated != nil {
			at = *l.Stated
		}
		saw := map[string]any{}
		for _, v := range logbook.LookValues {
			switch stored := v.Get(l.Look); {
			case stored == "":
			case v.Kind == logbook.AsChoices:
				saw[v.Key] = v.Each(stored)
			default:
				saw[v.Key] = v.Words(stored)
			}
		}
		out = append(out, LookedAt{Occasion: l.When.String(), By: cmp.Or(l.Looker, l.By), At: at.Format(time.RFC3339), DayOnly: l.DayOnly, Saw: saw})
	}
	return out
}

// Shown writes as \u escapes what encoding/json leaves as it is and what would
// act on a terminal or turn the direction of writing. Such can stand in JSON
// only within its strings, so every reader gives the same text.
func Shown(text string) string {
	acts := func(r rune) bool { return r >= 0x7f && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) }
	if strings.IndexFunc(text, acts) < 0 {
		return text
	}
	var out strings.Builder
	for _, r := range text {
		if !acts(r) {
			out.WriteRune(r)
			continue
		}
		for _, unit := range utf16.Encode([]rune{r}) {
			fmt.Fprintf(&out, `\u%04x`, unit)
		}
	}
	return out.String()
}
