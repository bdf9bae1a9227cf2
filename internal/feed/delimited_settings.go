package feed

import (
	"math"
	"strconv"
	"strings"
)

// declaration is what the settings say about a delimited file, checked.
type declaration struct {
	names      [columnCount]string // header name; empty when declared by number or not at all
	numbers    [columnCount]int    // index from 0; absent when declared by name or not at all
	unit       string              // "C", "F" or ""
	separators []byte              // the declared one, or those to look for, in order
	decimal    byte
	layout     string
	layoutName string
	missing    []missingValue
}

type missingValue struct {
	text  string
	value float64 // NaN for a word
}

// declare checks the options of a delimited file.
func declare(opt Options) (declaration, error) {
	d := declaration{unit: opt.Unit, layoutName: opt.DateLayout}
	if d.unit != "" && d.unit != "C" && d.unit != "F" {
		return d, refuse("write C or F", "unit %q is none", d.unit)
	}
	if d.layoutName == "" {
		d.layoutName = dateLayouts[0].declared
	}
	var known bool
	if d.layout, known = goLayout(d.layoutName); !known {
		return d, refuse("write one of "+strings.Join(DateLayouts(), ", "), "date_layout %q is none", d.layoutName)
	}
	if err := d.declareMarks(opt); err != nil {
		return d, err
	}
	for _, m := range opt.Missing {
		value, _ := parseNumber(m, d.decimal) // NaN for a word
		if math.IsNaN(value) {
			value, _ = parseNumber(m, '.') // "-99.9" written in the settings for a file with decimal commas
		}
		d.missing = append(d.missing, missingValue{text: m, value: value})
	}
	return d, d.declareColumns(opt.Columns)
}

// declareMarks reads separator and decimal mark.
func (d *declaration) declareMarks(opt Options) error {
	switch opt.Decimal {
	case "", ".":
		d.decimal = '.'
	case ",":
		d.decimal = ','
	default:
		return refuse(`write "." or ","`, "decimal %q is none", opt.Decimal)
	}
	switch opt.Separator {
	case "":
		d.separators = []byte{';', '\t', ','}
		if d.decimal == ',' {
			d.separators = d.separators[:2]
		}
	case ";", "\t", ",":
		d.separators = []byte{opt.Separator[0]}
	case "tab", `\t`:
		d.separators = []byte{'\t'}
	default:
		return refuse(`write ";", "," or "tab"`, "separator %q is none", opt.Separator)
	}
	if d.decimal == ',' && d.separators[0] == ',' {
		return refuse("write the file with another separator", "comma can't be both separator and decimal")
	}
	return nil
}

// declareColumns reads which column is which.
func (d *declaration) declareColumns(columns map[string]string) error {
	for c := range d.numbers {
		d.numbers[c] = absent
	}
	for name := range columns {
		if columnOf(name) == absent {
			return refuse("write date, tmin, tmax or tmean", "columns.%s is no column", name)
		}
	}
	for c, name := range columnNames {
		declared := strings.TrimSpace(columns[name])
		number, err := strconv.Atoi(declared)
		switch {
		case err != nil:
			d.names[c] = declared
		case number < 1 || number > 10_000:
			return refuse("count the columns from 1", "columns.%s is %d", name, number)
		default:
			d.numbers[c] = number - 1
		}
	}
	if len(columns) == 0 {
		return nil
	}
	if !d.has(dateColumn) || !d.has(meanColumn) && (!d.has(minColumn) || !d.has(maxColumn)) {
		return refuse("declare date, and tmean or tmin with tmax", "the declared columns give no daily temperature")
	}
	return nil
}

func columnOf(name string) int {
	for c, known := range columnNames {
		if name == known {
			return c
		}
	}
	return absent
}

func (d declaration) has(column int) bool {
	return d.names[column] != "" || d.numbers[column] != absent
}

// byNumbers reports whether columns are declared, and none by name.
func (d declaration) byNumbers() bool {
	return d.names == [columnCount]string{} && d.numbers[dateColumn] != absent
}
