package cli

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"budcall/internal/app"
	"budcall/internal/sheet"
)

var seasonReportCommand = command{
	name:    "season-report",
	purpose: "write everything that is stored of a season as a page and as tables",
	text: "The page, season.html, needs nothing beside it: it opens in any browser, on a phone as well, and can be printed. The tables are CSV: calls, how they changed, what was told to whom, answers, reports, forecasts and their scores, trees, bags, lots, unplaced seed and the isolation check. " +
		"A cell that a spreadsheet would run as a formula begins with an apostrophe.\n" +
		"Names of people are on the page, and what they wrote is in the tables: keep them as you keep those. Nothing is written over.",
	example: "budcall season-report\nbudcall season-report --year 2030 --out report-2030 --separator semicolon --bom",
	define:  defineSeasonReport,
}

// page is the name of the report's page.
const page = "season.html"

// seasonFlags is what season-report was told.
type seasonFlags struct {
	memory
	year           int
	out, separator string
	bom, machine   bool
}

func defineSeasonReport(f *flag.FlagSet) action {
	o := &seasonFlags{}
	o.memory.define(f)
	f.IntVar(&o.year, "year", 0, "the `YEAR` of the season; without it, this year")
	f.StringVar(&o.out, "out", "", "the folder `DIR` to write into; without it, season-YEAR")
	f.StringVar(&o.separator, "separator", "comma", "`WORD` for what parts the columns: comma, semicolon or tab")
	f.BoolVar(&o.bom, "bom", false, "begin each table with the mark of UTF-8, without which some spreadsheets misread letters")
	f.BoolVar(&o.machine, "json", false, "for programs: what was written")
	return o.do
}

func (o *seasonFlags) do(ctx context.Context, _ []string, s Streams) error {
	mark, ok := sheet.SeparatorNamed(o.separator)
	switch {
	case o.year != 0 && (o.year < 2000 || o.year > 2099):
		return misused("--year %d is no year from 2000 to 2099", o.year)
	case !ok:
		return misused("--separator %s: give comma, semicolon or tab", o.separator)
	}
	return o.with(ctx, func(b *app.Beside) error {
		season, err := b.SeasonReport(ctx, o.year, version())
		if err != nil {
			return err
		}
		files := season.CSV(sheet.CSVOptions{Separator: mark, BOM: o.bom})
		files[page] = season.Page()
		dir := o.out
		if dir == "" {
			dir = fmt.Sprintf("season-%d", season.Year)
		}
		names := slices.Sorted(maps.Keys(files))
		if err := writeFresh(dir, names, files); err != nil {
			return err
		}
		if o.machine {
			return asJSON(s.Out, map[string]any{"season": season.Year, "dir": dir, "files": names})
		}
		tables := slices.DeleteFunc(names, func(name string) bool { return name == page })
		_, err = fmt.Fprintf(s.Out, "%s: season %d as %s and %s (%s)\n", dir, season.Year, page, counted(len(tables), "table"), strings.Join(tables, ", "))
		return err
	})
}

// writeFresh writes files into a folder, all or none; none may be there yet.
func writeFresh(dir string, names []string, files map[string][]byte) (err error) {
	if err := os.MkdirAll(dir, 0o700); err != nil { // names are in them: for nobody else's eyes
		return fmt.Errorf("making the folder %s: %w (name another with --out)", dir, err)
	}
	var written []string
	defer func() {
		if err != nil {
			for _, path := range written {
				os.Remove(path)
			}
		}
	}()
	for _, name := range names {
		path := filepath.Join(dir, name)
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if errors.Is(err, fs.ErrExist) {
			return fmt.Errorf("%s is there already and isn't written over: name another folder with --out, or remove it", path)
		}
		if err == nil {
			written = append(written, path)
			_, err = f.Write(files[name])
			err = errors.Join(err, f.Close())
		}
		if err != nil {
			return fmt.Errorf("writing %s: %w (the folder must be writable, and the disk not full)", path, err)
		}
	}
	return nil
}
