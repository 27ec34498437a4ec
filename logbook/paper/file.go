package paper

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"coolhold/fusion"
	"coolhold/logbook/fault"
)

// A cell is one field of the file with the line it begins on.
type cell struct {
	line int
	text string
	bad  string // why it cannot be taken as it is, and what to do
}

// decode gives the file as UTF-8 text with line feeds, or its faults. With a
// byte order mark it may be UTF-16, as some spreadsheets save it.
func decode(data []byte) ([]byte, fault.List) {
	switch {
	case bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")):
		return nil, fault.List{{Line: 1, What: "it is an older workbook (XLS), or one with a password: save it as XLSX without a password, or as CSV in UTF-8"}}
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		data = fromUTF16(data[2:], binary.LittleEndian)
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		data = fromUTF16(data[2:], binary.BigEndian)
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return nil, fault.List{{Line: fault.LineAt(data, i), What: "a NUL byte: save the sheet as CSV in UTF-8"}}
	}
	if faults := badBytes(data); faults != nil {
		return nil, faults
	}
	data = bytes.ReplaceAll(data, []byte("\r\n"), []byte("\n"))
	return bytes.ReplaceAll(data, []byte("\r"), []byte("\n")), nil
}

func fromUTF16(data []byte, order binary.ByteOrder) []byte {
	units := make([]uint16, 0, len(data)/2+1)
	for ; len(data) > 1; data = data[2:] {
		units = append(units, order.Uint16(data))
	}
	if len(data) == 1 {
		units = append(units, utf8.RuneError) // half a character is none
	}
	return []byte(string(utf16.Decode(units)))
}

// badBytes names each line that is no UTF-8.
func badBytes(data []byte) (faults fault.List) {
	for i, line := range bytes.Split(data, []byte("\n")) {
		for len(line) > 0 {
			c, n := utf8.DecodeRune(line)
			if c == utf8.RuneError && n == 1 {
				faults = append(faults, fault.Fault{Line: i + 1, What: fmt.Sprintf("the byte %02X is no UTF-8 (saved as Latin-1?): save the sheet as CSV in UTF-8", line[0])})
				break
			}
			line = line[n:]
		}
		if len(faults) == fault.MaxFaults {
			break
		}
	}
	return faults
}

var separators = []rune{',', ';', '\t'}

func separatorName(c rune) string {
	return map[rune]string{',': "comma", ';': "semicolon", '\t': "tab"}[c]
}

// cells splits the file into rows of cells; rows in which nothing stands are
// left out. After a fault of the quotes the rest cannot be read.
func cells(data []byte) ([][]cell, *fault.Fault) {
	comma, fault := separator(data)
	if fault != nil {
		return nil, fault
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma, r.FieldsPerRecord = comma, -1
	var rows [][]cell
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		if err != nil {
			return rows, quoteFault(err)
		}
		row, any := make([]cell, len(record)), false
		for i, f := range record {
			line, _ := r.FieldPos(i)
			row[i] = cell{line: line, text: bare(f)}
			any = any || row[i].text != ""
		}
		if any && !(len(rows) == 0 && isSep(record)) {
			rows = append(rows, row)
		}
	}
}

// bare is what was typed, in one line and without the mark by which a spreadsheet is
// told that it is a text.
func bare(f string) string {
	f = strings.Join(strings.Fields(f), " ")
	if rest, marked := strings.CutPrefix(f, "'"); marked && rest != "" && strings.Trim(rest, "'") == rest {
		return strings.TrimSpace(rest)
	}
	return f
}

// isSep knows the line by which some spreadsheets name the separator.
func isSep(record []string) bool { return strings.HasPrefix(fusion.Folded(record[0]), "sep=") }

func quoteFault(err error) *fault.Fault {
	f := &fault.Fault{What: err.Error()}
	var pe *csv.ParseError
	if !errors.As(err, &pe) {
		return f
	}
	f.Line = pe.StartLine
	const rest = "; the rest was not read"
	switch {
	case errors.Is(pe.Err, csv.ErrBareQuote):
		f.What = `a quotation mark stands inside a cell: put the whole cell into marks and write the inner one twice` + rest
	case errors.Is(pe.Err, csv.ErrQuote):
		f.What = `a cell in quotation marks is not closed, or goes on behind them` + rest
	}
	return f
}

// separator is the one between the names of the columns.
func separator(data []byte) (rune, *fault.Fault) {
	head, line := headLine(data)
	best, count := ',', 0
	for _, c := range separators {
		if n := named(strings.Split(head, string(c))); n > count {
			best, count = c, n
		}
	}
	if count == 0 {
		return 0, &fault.Fault{Line: line, What: "no name of a column is known here: the first line names the columns, with commas, semicolons or tabs between them (see --template)"}
	}
	for _, c := range separators {
		if c != best && strings.ContainsRune(strings.TrimRight(head, " \t"), c) {
			return 0, &fault.Fault{Line: line, What: fmt.Sprintf("the separator is not clear: %ss and %ss stand between the names of the columns", separatorName(best), separatorName(c))}
		}
	}
	return best, nil
}

// titles is in how many lines at the top of a file the names of the columns are looked
// for: a sheet may have a title above them. Our choice.
const titles = 20

// enough names of columns in one line make it the one that names them.
const enough = 3

// headLine is the first line in which several columns are named, else the first one in
// which something stands.
func headLine(data []byte) (string, int) {
	first, at := "", 0
	for i, l := range strings.Split(string(data), "\n") {
		if strings.Trim(l, " \t,;") == "" || strings.HasPrefix(fusion.Folded(l), "sep=") {
			continue
		}
		if at == 0 {
			first, at = l, i+1
		}
		if i >= titles {
			break
		}
		for _, c := range separators {
			if named(strings.Split(l, string(c))) >= enough {
				return l, i + 1
			}
		}
	}
	return first, max(1, at)
}

// named counts the texts that are names of columns.
func named(texts []string) (n int) {
	for _, t := range texts {
		if _, known := columnOf(strings.Trim(strings.TrimSpace(t), `"`)); known {
			n++
		}
	}
	return n
}

// fromHead leaves out what stands above the names of the columns.
func fromHead(rows [][]cell) [][]cell {
	for i, row := range rows[:min(len(rows), titles)] {
		if named(texts(row)) >= enough {
			return rows[i:]
		}
	}
	return rows
}
