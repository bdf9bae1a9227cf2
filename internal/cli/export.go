package cli

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"time"

	"budcall/internal/app"
	"budcall/internal/config"
	"budcall/internal/sheet"
)

var exportCommand = command{
	name: "export", operands: "KIND", least: 1,
	purpose: "write people, sites, trees, reports, bags or lots as a table",
	text: "KIND is people, sites or trees, which stand in the configuration folder, or reports, bags or lots, which are in the program's memory.\n" +
		"The table can be changed in a spreadsheet and read again by `budcall import`. Days are YYYY-MM-DD, numbers have a decimal point. A cell that a spreadsheet would run as a formula begins with an apostrophe, which import takes away again. Of reports, those that a later one corrects are left out.\n" +
		"A table of people holds their addresses and phone numbers: keep it as you keep those.",
	example: "budcall export trees\nbudcall export people --format xlsx --out people.xlsx",
	define:  defineExport,
}

// exportFlags is what export was told.
type exportFlags struct {
	memory
	dir, format, separator, out string
	season                      int
	bom, machine                bool
}

func defineExport(f *flag.FlagSet) action {
	e := &exportFlags{}
	e.memory.define(f)
	f.StringVar(&e.dir, "dir", "config", "the configuration folder `DIR` that holds people, sites and trees")
	f.StringVar(&e.format, "format", "csv", "`FORMAT` of the table: csv or xlsx")
	f.StringVar(&e.separator, "separator", "comma", "`WORD` for what parts the columns of CSV: comma, semicolon or tab")
	f.BoolVar(&e.bom, "bom", false, "begin CSV with the mark of UTF-8, without which some spreadsheets misread letters")
	f.StringVar(&e.out, "out", "", "the `FILE` to write, which must not be there yet; without it, CSV goes to standard output")
	f.IntVar(&e.season, "season", 0, "the `YEAR` of reports, bags and lots; without it, this year")
	f.BoolVar(&e.machine, "json", false, "for programs: the rows as objects, on standard output")
	return e.do
}

func (e *exportFlags) do(ctx context.Context, operands []string, s Streams) error {
	kind := sheet.Kind(operands[0])
	mark, ok := sheet.SeparatorNamed(e.separator)
	switch {
	case len(sheet.Columns(kind)) == 0:
		return noKind(operands[0])
	case e.format != "csv" && e.format != "xlsx":
		return misused("--format %s: give csv or xlsx", e.format)
	case !ok:
		return misused("--separator %s: give comma, semicolon or tab", e.separator)
	case e.format == "xlsx" && e.out == "" && !e.machine:
		return misused("a workbook goes into a file: name it with --out, such as --out %s.xlsx", kind)
	case e.machine && e.out != "":
		return misused("--json writes to standard output, --out a table: give one of them")
	}
	t, err := e.table(ctx, kind)
	if err != nil {
		return err
	}
	t = t.InForce()
	if e.machine {
		rows := make([]map[string]string, 0, len(t.Rows))
		for _, r := range t.Rows {
			rows = append(rows, r.Values)
		}
		return asJSON(s.Out, map[string]any{"kind": kind, "columns": t.Columns, "rows": rows})
	}
	body := t.CSV(sheet.CSVOptions{Separator: mark, BOM: e.bom})
	if e.format == "xlsx" {
		if body, err = t.XLSX(); err != nil {
			return fmt.Errorf("making a workbook of the %s: %w (write CSV instead)", kind, err)
		}
	}
	return e.write(body, len(t.Rows), kind, s)
}

// table gives what is known of a kind.
func (e *exportFlags) table(ctx context.Context, kind sheet.Kind) (t sheet.Table, err error) {
	switch kind {
	case sheet.People, sheet.Sites, sheet.Trees:
		files, err := app.ReadDir(e.dir)
		if err != nil {
			return t, err
		}
		if _, problems := config.Parse(files, time.LoadLocation); len(problems) > 0 {
			return t, fmt.Errorf("%s in %s: `budcall check %s` lists them; correct them first", counted(len(problems), "problem"), e.dir, e.dir)
		}
		return sheet.FromConfig(kind, files)
	}
	err = e.memory.with(ctx, func(b *app.Beside) (err error) {
		t, err = seasonTable(ctx, b, kind, e.season)
		return err
	})
	return t, err
}

func (e *exportFlags) write(body []byte, rows int, kind sheet.Kind, s Streams) error {
	if e.out == "" {
		if _, err := s.Out.Write(body); err != nil {
			return fmt.Errorf("writing the table: %w", err)
		}
		return nil
	}
	// People's addresses are in it: for nobody else's eyes.
	f, err := os.OpenFile(e.out, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already and isn't written over: name another file, or remove it", e.out)
	}
	if err == nil {
		_, err = f.Write(body)
		if err = errors.Join(err, f.Close()); err != nil {
			os.Remove(e.out)
		}
	}
	if err != nil {
		return fmt.Errorf("writing the table: %w (the folder must be writable, and the disk not full)", err)
	}
	if _, err := fmt.Fprintf(s.Out, "%s: %s of %s\n", e.out, counted(rows, "row"), kind); err != nil {
		return fmt.Errorf("writing what was done: %w", err)
	}
	return nil
}
