// Sheet writes cells to a workbook, or a text of commas, with the library alone, and
// prints the milliseconds that it took. The cells are lines of JSON on stdin, each a
// sheet: rows of texts.
//
//	sheet xlsx|csv FILE <CELLS
package main

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/xuri/excelize/v2"
)

func main() {
	if err := run(os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(format, name string) error {
	var sheets [][][]string
	d := json.NewDecoder(os.Stdin)
	for {
		var rows [][]string
		err := d.Decode(&rows)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		sheets = append(sheets, rows)
	}
	out, err := os.Create(name)
	if err != nil {
		return err
	}
	defer out.Close()
	began := time.Now()
	if format == "csv" {
		err = csv.NewWriter(out).WriteAll(sheets[0])
	} else {
		err = workbook(out, sheets)
	}
	fmt.Println(float64(time.Since(began).Microseconds()) / 1000)
	return err
}

func workbook(out io.Writer, sheets [][][]string) error {
	f := excelize.NewFile()
	for i, rows := range sheets {
		name := fmt.Sprint("Sheet", i+1)
		if _, err := f.NewSheet(name); err != nil {
			return err
		}
		w, err := f.NewStreamWriter(name)
		if err != nil {
			return err
		}
		for n, row := range rows {
			cells := make([]any, len(row))
			for c, text := range row {
				cells[c] = text
			}
			if err := w.SetRow(fmt.Sprint("A", n+1), cells); err != nil {
				return err
			}
		}
		if err := w.Flush(); err != nil {
			return err
		}
	}
	return f.Write(out)
}
