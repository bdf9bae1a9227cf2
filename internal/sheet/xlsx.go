package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"budcall/internal/civil"
)

// readXLSX gives the rows of a worksheet. The library is only shown files that
// safe has looked through, since it makes room for every row and column up to
// the last one that a file names, however small the file.
func readXLSX(body []byte, o Options) (g grid, rejected *Reject) {
	if rejected := safe(body, o); rejected != nil {
		return g, rejected
	}
	defer func() {
		if r := recover(); r != nil { // the library trusts the files that it reads
			rejected = o.damaged(fmt.Errorf("%v", r))
		}
	}()
	f, err := excelize.OpenReader(bytes.NewReader(body), excelize.Options{
		RawCellValue: true, UnzipSizeLimit: maxUnpacked, UnzipXMLSizeLimit: maxUnpacked, // equal, so that nothing goes to temporary files
	})
	if err != nil {
		return g, o.damaged(err)
	}
	w := workbook{file: f, options: o}
	if g, err = w.read(); err != nil {
		if errors.As(err, &rejected) {
			return g, rejected
		}
		return g, o.damaged(err)
	}
	return g, nil
}

func (o Options) damaged(err error) *Reject {
	return o.refuse(0, Damaged, "save it anew, or as CSV", "the workbook is cut off or damaged: %s", clip(err.Error()))
}

// workbook is one workbook being read.
type workbook struct {
	file     *excelize.File
	options  Options
	from1904 bool // days are counted from 1904
	shows    map[int]shown
}

func (w *workbook) read() (grid, error) {
	name, notes, err := w.choose()
	if err != nil {
		return grid{}, err
	}
	props, err := w.file.GetWorkbookProps()
	if err != nil {
		return grid{}, err
	}
	w.from1904 = props.Date1904 != nil && *props.Date1904
	w.shows = map[int]shown{}
	values, err := w.values(name)
	if err != nil {
		return grid{}, err
	}
	g := grid{sheet: name, notes: notes}
	for i, row := range values {
		r := raw{line: i + 1}
		for j, text := range row {
			c, err := w.cell(name, letters(j)+strconv.Itoa(i+1), text)
			if err != nil {
				return g, err
			}
			r.cells = append(r.cells, c)
		}
		g.rows = append(g.rows, r)
	}
	return g, w.markMerged(&g)
}

// choose finds the worksheet: the one that was named, else the only one that
// can be seen and holds anything.
func (w *workbook) choose() (name string, notes []string, err error) {
	var full []string
	for _, s := range w.file.GetSheetList() {
		seen, err := w.file.GetSheetVisible(s)
		if err != nil {
			return "", nil, err
		}
		values, err := w.values(s)
		switch {
		case err != nil:
			return "", nil, err
		case s == w.options.Sheet:
			return s, nil, nil
		case len(values) == 0:
		case !seen:
			notes = append(notes, fmt.Sprintf("the worksheet %q is hidden and isn't read", clip(s)))
		default:
			full = append(full, s)
		}
	}
	names := strings.Join(w.file.GetSheetList(), ", ")
	switch {
	case w.options.Sheet != "":
		return "", nil, w.options.refuse(0, WhichOne, "one of "+clip(names), "there is no worksheet %q", clip(w.options.Sheet))
	case len(full) == 0:
		return "", nil, w.options.refuse(0, Empty, "write a header line and a row for each of the "+string(w.options.Kind), "no worksheet that can be seen holds anything")
	case len(full) > 1:
		return "", nil, w.options.refuse(0, WhichOne, "say --sheet NAME", "%d worksheets hold something: %s", len(full), clip(strings.Join(full, ", ")))
	}
	return full[0], notes, nil
}

// values gives a worksheet's cells as stored, without the empty rows at its end.
func (w *workbook) values(name string) ([][]string, error) {
	rows, err := w.file.Rows(name)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out [][]string
	last := 0
	for rows.Next() {
		cells, err := rows.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return nil, err
		}
		if len(out) > maxRows {
			return nil, w.options.refuse(0, TooLarge, "save the one worksheet as CSV", "a worksheet has more than %d rows", maxRows)
		}
		out = append(out, cells)
		if len(cells) > 0 {
			last = len(out)
		}
	}
	return out[:last], rows.Error()
}

// cell gives one cell, whose stored value is known, with what kind it is.
func (w *workbook) cell(sheet, at, value string) (cell, error) {
	formula, err := w.file.GetCellFormula(sheet, at)
	if err != nil {
		return cell{}, err
	}
	if formula != "" {
		return cell{kind: formulaCell, text: formula}, nil
	}
	if value == "" {
		return cell{}, nil
	}
	kind, err := w.file.GetCellType(sheet, at)
	switch {
	case err != nil:
		return cell{}, err
	case kind == excelize.CellTypeError:
		return cell{kind: errorCell, text: value}, nil
	case kind != excelize.CellTypeUnset && kind != excelize.CellTypeNumber && kind != excelize.CellTypeDate:
		return cell{text: value}, nil
	}
	n, err := strconv.ParseFloat(value, 64)
	if err != nil { // a day in ISO form, or nonsense, which its column will refuse
		return cell{text: value}, nil
	}
	shows := dayShown
	if kind != excelize.CellTypeDate {
		if shows, err = w.shown(sheet, at); err != nil {
			return cell{}, err
		}
	}
	return w.numeric(n, shows), nil
}

// numeric gives the cell of a number that is shown in some way.
func (w *workbook) numeric(n float64, shows shown) cell {
	plain := cell{kind: numberCell, text: shortest(n)}
	if shows == numberShown || n < 0 || n > 2958465 || n < 61 && !w.from1904 { // 9999-12-31, and see serialDay
		return plain
	}
	c := cell{kind: dayCell, day: serialDay(n, w.from1904)}
	if n != float64(civil.Date(n)) {
		c.kind = timeCell
	}
	return c
}

// markMerged marks the rows that have a part in a merged cell.
func (w *workbook) markMerged(g *grid) error {
	merged, err := w.file.GetMergeCells(g.sheet, true)
	if err != nil {
		return err
	}
	for _, m := range merged {
		_, first, err1 := excelize.CellNameToCoordinates(m.GetStartAxis())
		_, last, err2 := excelize.CellNameToCoordinates(m.GetEndAxis())
		if err := errors.Join(err1, err2); err != nil {
			return err
		}
		for i := first - 1; i < min(last, len(g.rows)); i++ {
			g.rows[i].merged = true
		}
	}
	return nil
}
