package sheet

import (
	"bytes"
	"strings"
	"unicode"

	"github.com/xuri/excelize/v2"

	"budcall/internal/civil"
)

// CSVOptions is how delimited text is written: UTF-8, lines ended by \n, days
// YYYY-MM-DD, a decimal point.
type CSVOptions struct {
	Separator rune // ',', ';' or '\t'; 0: a comma
	BOM       bool // some spreadsheets read UTF-8 only with it
}

// CSV writes a table. Cells that a spreadsheet would run as a formula get an
// apostrophe before them, which Read takes away again.
func (t Table) CSV(o CSVOptions) []byte {
	var b bytes.Buffer
	if o.BOM {
		b.WriteString("\ufeff")
	}
	mark := ","
	if o.Separator != 0 {
		mark = string(o.Separator)
	}
	b.WriteString(strings.Join(t.Columns, mark) + "\n")
	for _, r := range t.Rows {
		for i, c := range t.Columns {
			if i > 0 {
				b.WriteString(mark)
			}
			v := r.Values[c]
			if !numbers[c] {
				v = neutral(v)
			}
			b.WriteString(quoted(v))
		}
		b.WriteString("\n")
	}
	return b.Bytes()
}

// quoted puts a cell in quotes where any separator could part it: a
// spreadsheet set to another one than the file's would begin a cell there.
func quoted(v string) string {
	if !strings.ContainsAny(v, ",;\t\"\n\r|") && v == trimmed(v) {
		return v
	}
	return `"` + strings.ReplaceAll(v, `"`, `""`) + `"`
}

// numbers and days are the columns that hold these; a workbook stores them as
// such, and everything else as text.
var (
	numbers = map[string]bool{
		"lat_deg": true, "lon_deg": true, "altitude_m": true,
		"bbch": true, "selfing": true, "control": true, "count": true, "packets": true, "came": true,
		"number": true, "changes": true, "lead_days": true, "error_days": true, "crps_days": true, "mean_date_days": true, "regression_days": true,
		"inside80": true, "past_dates": true, "catkins": true, "selfing_filled": true, "selfing_of": true, "selfing_catkins": true,
		"control_filled": true, "control_of": true, "control_catkins": true, "ratio": true, "ratio_low": true, "ratio_high": true, "at_most": true,
	}
	days = map[string]bool{"day": true, "on": true, "until": true, "doubtful_since": true, "off": true, "picked": true, "expected": true, "received": true}
)

// XLSX writes a table as a workbook of one worksheet, whose header stays in
// view. Text columns have the format "text", so that a spreadsheet doesn't
// make numbers or days of codes that are typed into them.
func (t Table) XLSX() ([]byte, error) {
	f := excelize.NewFile()
	defer f.Close()
	name := string(t.Kind)
	if err := f.SetSheetName("Sheet1", name); err != nil {
		return nil, err
	}
	styles, err := stylesIn(f)
	if err != nil {
		return nil, err
	}
	w, err := f.NewStreamWriter(name)
	if err != nil {
		return nil, err
	}
	for i, c := range t.Columns {
		if err := w.SetColWidth(i+1, i+1, t.width(c)); err != nil {
			return nil, err
		}
		if err := w.SetColStyle(i+1, i+1, styles.of(c)); err != nil {
			return nil, err
		}
	}
	if err := w.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return nil, err
	}
	if err := t.rows(w, styles); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func (t Table) rows(w *excelize.StreamWriter, styles cellStyles) error {
	header := make([]any, len(t.Columns))
	for i, c := range t.Columns {
		header[i] = excelize.Cell{StyleID: styles.header, Value: c}
	}
	if err := w.SetRow("A1", header); err != nil {
		return err
	}
	for n, r := range t.Rows {
		cells := make([]any, len(t.Columns))
		for i, c := range t.Columns {
			cells[i] = excelize.Cell{StyleID: styles.of(c), Value: stored(r, c)}
		}
		at, err := excelize.CoordinatesToCellName(1, n+2)
		if err != nil {
			return err
		}
		if err := w.SetRow(at, cells); err != nil {
			return err
		}
	}
	return w.Flush()
}

// stored gives what a workbook stores for a value. A phone number needs no
// apostrophe there: its cell is text, and its characters make no formula that
// does anything.
func stored(r Row, column string) any {
	v := r.Values[column]
	if v == "" {
		return nil
	}
	if n, ok := r.Number(column); ok && numbers[column] {
		return n
	}
	if d := r.Day(column); days[column] && d >= civil.Of(1900, 3, 1) {
		return int(d - serialDay(0, false))
	}
	if column == "phone" {
		return v
	}
	return neutral(v)
}

// cellStyles are the styles of a workbook, by number.
type cellStyles struct{ header, text, number, day int }

func stylesIn(f *excelize.File) (s cellStyles, err error) {
	iso := "yyyy-mm-dd"
	for _, style := range []struct {
		to *int
		is excelize.Style
	}{
		{&s.header, excelize.Style{Font: &excelize.Font{Bold: true}, NumFmt: 49}},
		{&s.text, excelize.Style{NumFmt: 49}}, // 49 is "text" (ECMA-376 part 1, 18.8.30)
		{&s.number, excelize.Style{}},
		{&s.day, excelize.Style{CustomNumFmt: &iso}},
	} {
		if *style.to, err = f.NewStyle(&style.is); err != nil {
			return s, err
		}
	}
	return s, nil
}

func (s cellStyles) of(column string) int {
	switch {
	case numbers[column]:
		return s.number
	case days[column]:
		return s.day
	}
	return s.text
}

// width gives the width of a column in characters.
func (t Table) width(column string) float64 {
	most := len(column)
	for _, r := range t.Rows {
		most = max(most, len([]rune(r.Values[column])))
	}
	return float64(min(most, 48) + 2)
}

// canonical gives a text in the form in which Read gives it.
func canonical(text string) string {
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	return trimmed(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) && r != '\n' && r != '\t' {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "�")))
}
