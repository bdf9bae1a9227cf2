package cli

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"budcall/internal/app"
	"budcall/internal/config"
	"budcall/internal/sheet"
)

var importCommand = command{
	name: "import", operands: "KIND FILE", least: 2,
	purpose: "say what a table would add and change, and do it",
	text: "KIND is people, sites, trees, reports, bags or lots; FILE is CSV (comma, semicolon or tab) or XLSX. `budcall export KIND` writes a table as it is to be filled in.\n" +
		"Nothing is written without --apply: what the table adds, changes and contradicts is listed, and the exit status is 1 where a row is rejected or in conflict. With --apply all of it is done, or nothing.\n" +
		"People, sites and trees go into the files of the configuration folder, where only the settings that change are touched, and which must pass `budcall check`. Columns that the table doesn't have, and people, sites and trees that it doesn't name, stay as they are; an empty cell takes a value away.\n" +
		"Reports go into the program's memory, as by `budcall report`. Bags and lots follow from reports and the laboratory's book, so a table of them is only compared.",
	example: "budcall import trees trees.csv\nbudcall import trees trees.csv --apply\nbudcall import reports season.xlsx --state /var/lib/budcall",
	define:  defineImport,
}

// importFlags is what import was told.
type importFlags struct {
	memory
	dir, separator, encoding, decimal, sheet string
	apply, machine                           bool
}

func defineImport(f *flag.FlagSet) action {
	i := &importFlags{}
	i.memory.define(f)
	f.StringVar(&i.dir, "dir", "config", "the configuration folder `DIR` that holds people, sites and trees")
	f.BoolVar(&i.apply, "apply", false, "do what is listed, if no row is rejected or in conflict")
	f.StringVar(&i.separator, "separator", "", "`WORD` for what parts the columns of CSV: comma, semicolon or tab; without it, what the header proves")
	f.StringVar(&i.encoding, "encoding", "", "`NAME` of the letters of CSV: "+sheet.Windows1252+"; without it UTF-8, or UTF-16 with its mark")
	f.StringVar(&i.decimal, "decimal", "", "`WORD` for the decimal mark: point or comma; without it, what the numbers prove")
	f.StringVar(&i.sheet, "sheet", "", "`NAME` of the worksheet; without it, the only one that holds anything")
	f.BoolVar(&i.machine, "json", false, "for programs: what is added, changed, in conflict and rejected, and whether it was applied")
	return i.do
}

func (i *importFlags) do(ctx context.Context, operands []string, s Streams) error {
	o, err := i.options(operands[0], operands[1])
	if err != nil {
		return err
	}
	body, err := readTable(operands[1])
	if err != nil {
		return err
	}
	table, err := sheet.Read(body, o)
	if err != nil {
		if reject, ok := err.(*sheet.Reject); ok && i.machine {
			return refusedJSON(s.Out, *reject)
		}
		return err
	}
	switch o.Kind {
	case sheet.People, sheet.Sites, sheet.Trees:
		return i.intoConfig(table, s)
	case sheet.Reports:
		return i.memory.with(ctx, func(b *app.Beside) error { return i.intoMemory(ctx, b, table, s) })
	}
	if i.apply {
		return misused("%s follow from reports and the laboratory's book and can't be written: import the reports (bags on, bags off, packets picked), or enter what the laboratory did", o.Kind)
	}
	return i.memory.with(ctx, func(b *app.Beside) error {
		known, err := seasonTable(ctx, b, o.Kind, 0)
		if err != nil {
			return err
		}
		return i.say(sheet.Compare(known, table), outcome{only: true}, s)
	})
}

// options checks what import was told.
func (i *importFlags) options(kind, file string) (o sheet.Options, err error) {
	o = sheet.Options{Kind: sheet.Kind(kind), File: file, Encoding: i.encoding, Decimal: i.decimal, Sheet: i.sheet}
	if len(sheet.Columns(o.Kind)) == 0 {
		return o, noKind(kind)
	}
	var ok bool
	if o.Separator, ok = sheet.SeparatorNamed(i.separator); !ok && i.separator != "" {
		return o, misused("--separator %s: give comma, semicolon or tab", i.separator)
	}
	if i.encoding != "" && i.encoding != sheet.Windows1252 {
		return o, misused("--encoding %s: give %s, or save the table as UTF-8", i.encoding, sheet.Windows1252)
	}
	if i.decimal != "" && i.decimal != "point" && i.decimal != "comma" {
		return o, misused("--decimal %s: give point or comma", i.decimal)
	}
	return o, nil
}

func noKind(kind string) error {
	var known []string
	for _, k := range sheet.Kinds() {
		known = append(known, string(k))
	}
	return misused("there is no table of %q%s: give %s", kind, meant(kind, known), strings.Join(known, ", "))
}

// largestTable bounds what is read of a table; sheet has limits of its own.
const largestTable = 16 << 20

// readTable reads the file of a table; a pipe is refused before it is opened.
func readTable(path string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, fmt.Errorf("reading the table: %w (name a CSV or XLSX file)", err)
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("reading the table: %s is no file: name a CSV or XLSX file", path)
	case info.Size() > largestTable:
		return nil, fmt.Errorf("%s is larger than %d MiB: is it the right file? (part it into several)", path, largestTable>>20)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("reading the table: %w (you must be allowed to read it)", err)
	}
	defer f.Close()
	body, err := io.ReadAll(io.LimitReader(f, largestTable))
	if err != nil {
		return nil, fmt.Errorf("reading the table: %w (try again, or copy it to this machine)", err)
	}
	return body, nil
}

// intoConfig compares a table with the configuration and writes it there. The
// dry reading goes as far as the config's own check, so that what it promises
// can be applied.
func (i *importFlags) intoConfig(table sheet.Table, s Streams) error {
	files, err := app.ReadDir(i.dir)
	if err != nil {
		return err
	}
	if _, problems := config.Parse(files, time.LoadLocation); len(problems) > 0 {
		fmt.Fprint(s.Err, app.Problems(i.dir, problems))
		return fmt.Errorf("%s in %s: correct the configuration before anything is imported", counted(len(problems), "problem"), i.dir)
	}
	known, err := sheet.FromConfig(table.Kind, files)
	if err != nil {
		return err
	}
	plan := sheet.Compare(known, table)
	others, err := plan.Check(files, time.LoadLocation)
	if err != nil && plan.Clear() {
		return err
	}
	if !plan.Clear() || plan.Empty() || len(others) > 0 {
		return i.say(plan, outcome{problems: others}, s)
	}
	changed, problems, err := plan.Apply(files, time.LoadLocation)
	if err != nil {
		return err
	}
	out := outcome{problems: problems}
	for name := range changed {
		out.files = append(out.files, filepath.Join(i.dir, filepath.FromSlash(name)))
	}
	if len(problems) == 0 && i.apply {
		if err := replaceFiles(i.dir, files, changed); err != nil {
			return err
		}
		out.applied = true
	}
	return i.say(plan, out, s)
}
