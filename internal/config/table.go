package config

// tableSettings are those that only a delimited file has.
var tableSettings = []string{"columns", "unit", "separator", "decimal", "date_layout", "missing"}

// dateLayouts are the orders of a date that can be declared.
var dateLayouts = []string{"YYYY-MM-DD", "DD.MM.YYYY", "YYYYMMDD", "MM/DD/YYYY", "DD/MM/YYYY", "YYYY/MM/DD"}

// readTable reads how a delimited file is laid out, and refuses that of a file
// of another format, which says itself what is in it.
func readTable(s *section, t *Station) {
	if t.Format != FormatDelimited {
		for _, key := range tableSettings {
			if e := s.get(key); e.set() && t.Format != "" {
				e.problem("is only for files of format "+FormatDelimited, t.Format+" files say it themselves: remove the line")
			}
		}
		return
	}
	t.Columns = readColumns(s.get("columns").section())
	t.Unit = s.get("unit").choice("C", "F")
	t.Separator = separators[s.get("separator").choice("comma", "semicolon", "tab")]
	decimal := s.get("decimal")
	if decimal.choice("point", "comma") == "comma" {
		t.Decimal = ","
		if t.Separator == "," {
			decimal.problem("a comma can't part both columns and fractions", "let the file be written with semicolons")
		}
	}
	t.DateLayout = s.get("date_layout").choice(dateLayouts...)
	for _, e := range s.get("missing").list() {
		if text := e.text(); text != "" {
			t.Missing = append(t.Missing, text)
		}
	}
}

var separators = map[string]string{"comma": ",", "semicolon": ";", "tab": "\t"}

// readColumns reads which column holds what: each by its name in the header,
// or by its number from 1.
func readColumns(s *section) map[string]string {
	if !s.set() {
		return nil
	}
	columns := map[string]string{}
	holds := map[string]string{}
	for _, key := range []string{"date", "tmin", "tmax", "tmean"} {
		e := s.get(key)
		name := e.text()
		if name == "" {
			continue
		}
		if other, twice := holds[name]; twice {
			e.problem("is the same column as "+other, "each has its own")
		}
		columns[key], holds[name] = name, key
	}
	_, low := columns["tmin"]
	_, high := columns["tmax"]
	_, mean := columns["tmean"]
	if s.need("date", "the column of the date"); low != high || !low && !mean {
		s.problem("temperatures are incomplete", "name tmin and tmax, or tmean, or all three")
	}
	s.done()
	return columns
}

// readExtras reads what only one of the other formats has.
func readExtras(s *section, t *Station) {
	id, location := s.get("id"), s.get("location")
	t.ID = id.text()
	if n, ok := location.whole(bounds{1, 1000, "which one of an answer for several places, counted from 1"}); ok {
		t.Location = n
	}
	for _, only := range []struct {
		e      entry
		format string
	}{{id, FormatGHCNDaily}, {location, FormatOpenMeteo}} {
		if only.e.set() && t.Format != "" && t.Format != only.format {
			only.e.problem("is only for files of format "+only.format, "remove the line")
		}
	}
}
