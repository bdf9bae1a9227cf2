package feed

import (
	"fmt"
	"slices"
	"strings"
)

// headerLines is how far from its top a file's header is looked for.
const headerLines = 100

// findHeader finds the line that names the columns and what it says of their
// units. Lines before it are titles; one that looks like a reading is
// rejected, not passed over.
func (d declaration) findHeader(lines []string, rejects *rejectList) (sheet, error) {
	if d.byNumbers() {
		return d.findFirstRow(lines, rejects)
	}
	var nearest error
	for i, line := range lines[:min(len(lines), headerLines)] {
		for _, sep := range d.separators {
			fields, ok := splitFields(line, sep)
			if !ok || len(fields) < 2 {
				continue
			}
			s := sheet{declared: d, sep: sep, firstRow: i + 1, header: fields, fewest: len(fields)}
			found, err := d.locate(fields, &s)
			if found && err == nil {
				err = s.settleUnits(fields)
			}
			if found {
				return s, atLine(err, i+1)
			}
			if err != nil && nearest == nil {
				nearest = atLine(err, i+1)
			}
		}
	}
	if nearest != nil {
		return sheet{}, nearest
	}
	return sheet{}, d.noHeader(lines)
}

// locate looks for the wanted names among a line's fields. err says that the
// line is the header but can't serve.
func (d declaration) locate(fields []string, s *sheet) (found bool, err error) {
	if d.names == [columnCount]string{} {
		return d.locatePlain(fields, s)
	}
	s.columns = d.numbers
	return placeNamed(d.names[:], columnNames[:], fields, s.columns[:])
}

// placeNamed puts the place of each declared name among a header's fields into
// at; what isn't declared by name is left. columns are what the declarations go
// by. It is false where a name isn't there; err says that the line is the header
// but can't serve.
func placeNamed(names, columns, fields []string, at []int) (found bool, err error) {
	for c, name := range names {
		if name == "" {
			continue
		}
		index, times := indexOf(fields, name)
		if times == 0 {
			return false, nil
		}
		if times > 1 {
			return false, refuse(fmt.Sprintf("declare columns.%s by its number", columns[c]), "the header holds %q %d times", name, times)
		}
		at[c] = index
	}
	return true, nil
}

// locatePlain understands a header that needs no declaration: date, and
// tmin_c, tmax_c, tmean_c (or _f) in any order.
func (d declaration) locatePlain(fields []string, s *sheet) (found bool, err error) {
	for c, name := range columnNames {
		s.columns[c] = absent
		for _, spelling := range []string{name, name + "_c", name + "_f"} {
			index, times := indexOf(fields, spelling)
			if times > 1 || times == 1 && s.columns[c] != absent {
				return false, refuse("declare the columns by number", "the header holds %s more than once", name)
			}
			if times == 1 {
				s.columns[c] = index
			}
		}
	}
	has := func(c int) bool { return s.columns[c] != absent }
	return has(dateColumn) && (has(meanColumn) || has(minColumn) && has(maxColumn)), nil
}

func indexOf(fields []string, name string) (index, times int) {
	for i, f := range fields {
		if strings.EqualFold(f, name) {
			index = i
			times++
		}
	}
	return index, times
}

// findFirstRow finds the first reading where all columns are declared by
// number; the line above it may state the units.
func (d declaration) findFirstRow(lines []string, rejects *rejectList) (sheet, error) {
	for i, line := range lines[:min(len(lines), headerLines)] {
		for _, sep := range d.separators {
			s := sheet{declared: d, sep: sep, columns: d.numbers, firstRow: i}
			fields, ok := splitFields(line, sep)
			if !ok || len(fields) <= d.numbers[dateColumn] {
				continue
			}
			if _, ok := parseDate(d.layout, fields[d.numbers[dateColumn]]); !ok {
				continue
			}
			var header []string
			if i > 0 {
				header, _ = splitFields(lines[i-1], sep)
			}
			s.rejectReadings(lines[:i], rejects)
			if header != nil && !slices.ContainsFunc(rejects.listed, func(r Reject) bool { return r.Line == i }) {
				s.header = header
			}
			return s, atLine(s.settleUnits(header), i+1)
		}
	}
	return sheet{}, refuse("correct columns.date, separator or date_layout", "none of the first %d lines holds a date %s in column %d; the first is %q",
		headerLines, d.layoutName, d.numbers[dateColumn]+1, firstText(lines))
}

// rejectReadings tells of the lines above the first row that hold numbers
// where temperatures are declared: readings with a damaged date.
func (s *sheet) rejectReadings(lines []string, rejects *rejectList) {
	for i, line := range lines {
		fields, _ := splitFields(line, s.sep)
		for c := minColumn; c < columnCount; c++ {
			index := s.columns[c]
			if index == absent || index >= len(fields) {
				continue
			}
			if _, ok := parseNumber(fields[index], s.declared.decimal); ok {
				rejects.add(i+1, line, "a reading without a date "+s.declared.layoutName)
				break
			}
		}
	}
}

// settleUnits decides each column's unit from the declaration and the header;
// where both are silent or they differ, the file is refused.
func (s *sheet) settleUnits(header []string) error {
	for c := minColumn; c < columnCount; c++ {
		index := s.columns[c]
		if index == absent {
			continue
		}
		stated := ""
		if index < len(header) {
			stated = statedUnit(header[index])
		}
		switch {
		case stated == "" && s.declared.unit == "":
			return refuse("add unit: C or unit: F", "no unit is stated for %s", columnNames[c])
		case stated != "" && s.declared.unit != "" && stated != s.declared.unit:
			return refuse("correct unit, or the file's header", "unit %s is declared but the header says %q", s.declared.unit, shorten(header[index]))
		case stated == "":
			stated = s.declared.unit
		}
		s.fahrenheit[c] = stated == "F"
	}
	return nil
}

// statedUnit finds the unit in a header's name, "" where there is none.
func statedUnit(name string) string {
	name = strings.ToLower(strings.TrimSpace(name))
	for _, unit := range []string{"c", "f"} {
		if strings.HasSuffix(name, "_"+unit) {
			return strings.ToUpper(unit)
		}
		for _, form := range []string{"°", "º", "?", "\ufffd", "deg", "deg ", "degrees "} {
			if endsWord(name, form+unit) {
				return strings.ToUpper(unit)
			}
		}
		if strings.Contains(name, "("+unit+")") || strings.Contains(name, "["+unit+"]") {
			return strings.ToUpper(unit)
		}
	}
	if strings.Contains(name, "celsius") {
		return "C"
	}
	if strings.Contains(name, "fahrenheit") {
		return "F"
	}
	return ""
}

// endsWord reports whether form stands in name and no letter follows it, so
// that "deg count" is no unit.
func endsWord(name, form string) bool {
	_, rest, found := strings.Cut(name, form)
	return found && (rest == "" || rest[0] < 'a' || rest[0] > 'z')
}

// noHeader is the refusal of a file in which the columns' names don't stand.
func (d declaration) noHeader(lines []string) error {
	if d.names == [columnCount]string{} {
		return refuse("declare columns: date and tmean, or tmin and tmax, by the header's names or by numbers from 1",
			"no header date,tmin_c,tmax_c,tmean_c is found; the first line is %q", firstText(lines))
	}
	var wanted []string
	for _, name := range d.names {
		if name != "" {
			wanted = append(wanted, fmt.Sprintf("%q", name))
		}
	}
	return refuse("write the names as the header spells them, or numbers from 1, and the separator",
		"none of the first %d lines holds the columns %s; the first is %q", headerLines, strings.Join(wanted, ", "), firstText(lines))
}

// firstText is the first line that isn't blank, shortened.
func firstText(lines []string) string {
	for _, line := range lines {
		if text := shorten(line); text != "" {
			return text
		}
	}
	return ""
}
