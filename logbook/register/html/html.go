// Package html writes a register as one HTML file: for whoever has nothing but this file
// and a phone. It holds no script and leads nowhere; it can be read out, and prints on A4.
// What it says is the Report's; what is told in a sentence stands before what is listed.
package html

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
)

//go:embed register.html
var pageText string

//go:embed register.css
var style string

// Every text goes through clean where it is drawn, so that none is forgotten.
var page = template.Must(template.New("register").Funcs(template.FuncMap{
	"clean":    logbook.Clean,
	"chamber":  func(title string) string { return account.ChamberAt(strings.TrimPrefix(title, "Chamber ")) },
	"circuits": func() string { return account.CircuitsTitle },
	"style":    func() template.CSS { return template.CSS(style) }, // ours, and nothing of a log is in it
}).Parse(pageText))

// Write writes the report. step, where it is not nil, is told how many of all rows are put
// together. The same report gives the same bytes.
func Write(w io.Writer, rep register.Report, step func(done, of int)) error {
	if err := page.Execute(w, viewOf(rep, step)); err != nil {
		return fmt.Errorf("the HTML is not made: %w", err)
	}
	return nil
}
