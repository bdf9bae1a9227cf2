package feed

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

func offsetOf(zone *time.Location) int32 {
	_, seconds := time.Unix(0, 0).In(zone).Zone()
	return int32(seconds)
}

// sheet understands the first lines of a logger's text.
func (d *loggerDeclaration) sheet(start []string) (loggerSheet, error) {
	var nearest error
	for i, line := range start {
		for _, sep := range d.separators {
			fields, ok := splitFields(line, sep)
			if !ok || len(fields) < 2 {
				continue
			}
			s := loggerSheet{declared: d, sep: sep, at: d.numbers, width: len(fields), firstRow: i + 1}
			for s.width > 2 && fields[s.width-1] == "" {
				s.width--
			}
			s.header = withoutEmptyEnd(fields)
			found, err := s.locate(fields)
			if found && err == nil {
				err = s.settle(fields, start)
			}
			if found {
				return s, atLine(err, i+1)
			}
			if err != nil && nearest == nil {
				nearest = atLine(err, i+1)
			}
		}
	}
	if s, err, found := d.headerless(start); found {
		return s, err
	}
	if nearest != nil {
		return loggerSheet{}, nearest
	}
	return loggerSheet{}, refuse("declare columns: time and temp, by the header's names or by numbers from 1, and date_layout",
		"no header that names a time and a temperature is found in the first %d lines; the first is %q", headerLines, firstText(start))
}

// locate looks for the columns among a header's fields. err says that the line
// is a header that can't serve.
func (s *loggerSheet) locate(fields []string) (found bool, err error) {
	d := s.declared
	if d.allNumbers() {
		return false, nil
	}
	if found, err := placeNamed(d.names[:], loggerNames[:], fields, s.at[:]); !found || err != nil {
		return false, err
	}
	if s.at[loggerDate] == absent && !s.locateTime(fields) {
		return false, nil
	}
	if s.at[loggerTemp] == absent {
		return s.locateTemperature(fields)
	}
	return true, nil
}

// allNumbers reports whether the time and the temperature are declared by
// number, so that no header is needed.
func (d *loggerDeclaration) allNumbers() bool {
	return d.numbers[loggerDate] != absent && d.numbers[loggerTemp] != absent && !slices.ContainsFunc(d.names[:], func(n string) bool { return n != "" })
}

// locateTime finds the time by its name.
func (s *loggerSheet) locateTime(fields []string) bool {
	for i, f := range fields {
		name := strings.ToLower(f)
		for _, start := range []string{"date time", "date-time", "date/time", "datetime", "timestamp", "time stamp", "date and time"} {
			if strings.HasPrefix(name, start) {
				s.at[loggerDate] = i
				return true
			}
		}
	}
	date, time := -1, -1
	for i, f := range fields {
		name := strings.ToLower(f)
		if date < 0 && strings.HasPrefix(name, "date") {
			date = i
		}
		if time < 0 && strings.HasPrefix(name, "time") {
			time = i
		}
	}
	switch {
	case date >= 0 && time >= 0:
		s.at[loggerDate], s.at[loggerTime] = date, time
	case date >= 0:
		s.at[loggerDate] = date
	case time >= 0:
		s.at[loggerDate] = time
	}
	return date >= 0 || time >= 0
}

// locateTemperature finds the one column that is named a temperature, or that
// has a temperature's unit.
func (s *loggerSheet) locateTemperature(fields []string) (found bool, err error) {
	var named, united []int
	for i, f := range fields {
		name := strings.ToLower(f)
		if i == s.at[loggerDate] || i == s.at[loggerTime] || strings.Contains(name, "dew") {
			continue
		}
		switch unit := statedUnit(f); {
		case strings.Contains(name, "temp"):
			named = append(named, i)
		case unit != "":
			united = append(united, i)
		}
	}
	if len(named) == 0 {
		named = united
	}
	switch len(named) {
	case 0:
		return false, refuse("declare columns.temp, or use the file that holds the temperature", "the header names a time and no temperature: %s", shortenTo(160, strings.Join(fields, ", ")))
	case 1:
		s.at[loggerTemp] = named[0]
		return true, nil
	}
	var which []string
	for _, i := range named {
		which = append(which, fmt.Sprintf("%d (%s)", i+1, shortenTo(40, fields[i])))
	}
	return true, refuse("declare columns.temp by its number", "the header names several temperatures: %s", strings.Join(which, ", "))
}

// settle decides unit and clock from the declaration and the header.
func (s *loggerSheet) settle(header, start []string) error {
	stated := statedUnit(field(header, s.at[loggerTemp]))
	switch {
	case stated == "" && s.declared.unit == "":
		return refuse("add unit: C or unit: F", "no unit is stated for the temperature")
	case stated != "" && s.declared.unit != "" && stated != s.declared.unit:
		return refuse("correct unit, or the file's header", "unit %s is declared but the header says %q", s.declared.unit, shorten(header[s.at[loggerTemp]]))
	case stated == "":
		stated = s.declared.unit
	}
	s.fahrenheit = stated == "F"
	var first stamp
	for _, line := range start[min(s.firstRow, len(start)):] {
		fields, ok := splitFields(line, s.sep)
		if !ok {
			continue
		}
		when, _ := s.when(fields)
		if first, ok = readStamp(when); ok {
			break
		}
	}
	return s.settleClock(header, first)
}

// headerless finds the first row where the columns are declared by number; the
// line above it may state unit and clock.
func (d *loggerDeclaration) headerless(start []string) (s loggerSheet, err error, found bool) {
	if !d.allNumbers() {
		return s, nil, false
	}
	for i, line := range start {
		for _, sep := range d.separators {
			s = loggerSheet{declared: d, sep: sep, at: d.numbers, firstRow: i}
			fields, ok := splitFields(line, sep)
			if !ok || len(fields) <= d.numbers[loggerDate] {
				continue
			}
			when, _ := s.when(fields)
			if _, ok := readStamp(when); !ok {
				continue
			}
			var header []string
			if i > 0 {
				if header, _ = splitFields(start[i-1], sep); len(header) > max(s.at[loggerDate], s.at[loggerTemp]) {
					s.width, s.header = len(header), withoutEmptyEnd(header)
				}
			}
			return s, atLine(s.settle(header, start), i+1), true
		}
	}
	return s, refuse("correct the columns or the separator", "none of the first %d lines holds a date and time in column %d; the first is %q",
		headerLines, d.numbers[loggerDate]+1, firstText(start)), true
}
