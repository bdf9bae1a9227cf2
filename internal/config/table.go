package config

// dateLayouts are the orders of a date that can be declared.
var dateLayouts = []string{
	"YYYY-MM-DD", "DD.MM.YYYY", "YYYYMMDD", "MM/DD/YYYY", "DD/MM/YYYY", "YYYY/MM/DD", "YYYY.MM.DD",
	"YY.MM.DD", "DD.MM.YY", "MM.DD.YY", "MM/DD/YY", "DD/MM/YY",
}

// readTable reads how a text is laid out that doesn't say it itself.
func readTable(s *section, f stationFormat, t *Station) {
	if f.has("unit") {
		unit := s.get("unit")
		t.Unit = unit.choice("C", "F")
		if f.name == FormatGHCNCDO && !unit.set() && s.set() {
			unit.problem("is missing", "write C or F: such a file is in the unit in which it was ordered, and doesn't say which")
		}
	}
	if !f.has("columns") {
		return
	}
	if f.name == FormatLogger {
		t.Columns = readLoggerColumns(s.get("columns").section())
	} else {
		t.Columns = readColumns(s.get("columns").section())
	}
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
	columns := namedColumns(s, "date", "tmin", "tmax", "tmean")
	_, low := columns["tmin"]
	_, high := columns["tmax"]
	_, mean := columns["tmean"]
	if s.need("date", "the column of the date"); low != high || !low && !mean {
		s.problem("temperatures are incomplete", "name tmin and tmax, or tmean, or all three")
	}
	s.done()
	return columns
}

// readLoggerColumns reads the same of a logger's readings.
func readLoggerColumns(s *section) map[string]string {
	if !s.set() {
		return nil
	}
	columns := namedColumns(s, "time", "date", "temp", "error", "zone")
	s.need("time", "the column of the time, or of date and time")
	s.need("temp", "the column of the temperature")
	s.done()
	return columns
}

// namedColumns gives the columns of some of the keys, each its own.
func namedColumns(s *section, keys ...string) map[string]string {
	columns := map[string]string{}
	holds := map[string]string{}
	for _, key := range keys {
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
	return columns
}

// readExtras reads what few formats have.
func readExtras(s *section, f stationFormat, t *Station) {
	if f.has("id") {
		t.ID = s.get("id").text()
	}
	if f.has("location") {
		if n, ok := s.get("location").whole(bounds{1, 1000, "which one of an answer for several places, counted from 1"}); ok {
			t.Location = n
		}
	}
	if !f.has("clock") {
		return
	}
	clock := s.get("clock")
	if text := clock.text(); text != "" {
		if _, ok := fixedOffset(text); !ok {
			clock.problem("\""+clip(text)+"\" is no fixed offset", "write how far the logger's clock is from UTC, as UTC or UTC+02:00; a clock that follows summer time can't be used")
			return
		}
		t.Clock = text
	}
}
