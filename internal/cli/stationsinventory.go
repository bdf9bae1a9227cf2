package cli

import (
	"bufio"
	"compress/gzip"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"budcall/internal/civil"
	"budcall/internal/feed"
)

// years is the first and last year of an element.
type years struct{ first, last int }

// elements is the years of those elements of a station that give temperatures.
type elements map[string]years

// temperature gives the years in which the station has a day's temperature:
// both extremes, or the mean.
func (e elements) temperature() (y years, ok bool) {
	high, okHigh := e["TMAX"]
	low, okLow := e["TMIN"]
	y = years{max(high.first, low.first), min(high.last, low.last)}
	ok = okHigh && okLow && y.first <= y.last
	if mean, okMean := e["TAVG"]; okMean && (!ok || mean.last-mean.first > y.last-y.first) {
		return mean, true
	}
	return y, ok
}

// readInventory reads GHCN-Daily's ghcnd-inventory.txt: fixed columns (its
// readme, version 3.22): id 1–11, latitude 13–20, longitude 22–30, element
// 32–35, first year 37–40, last year 42–45; one line an element of a station.
// A station whose lines name no temperature is left out of the answer.
func (r *readLists) readInventory(p pair, s Streams) error {
	list := &stationLists[slices.IndexFunc(stationLists, func(l stationList) bool { return l.format == "ghcn-stations" })]
	if !slices.ContainsFunc(r.stations, func(st *listed) bool { return st.list == list }) {
		return misused("the inventory %s has neither names nor altitudes: give --list ghcn-stations=FILE beside it", p.file)
	}
	body, err := os.Open(p.file)
	if err != nil {
		return fmt.Errorf("opening a station list: %w", err)
	}
	defer body.Close()
	found, err := parseInventory(body, p.file, s.Err)
	if err != nil {
		return err
	}
	known := 0
	r.stations = slices.DeleteFunc(r.stations, func(st *listed) bool {
		e, ok := found[st.ID]
		if st.list != list || !ok {
			return false
		}
		y, measures := e.temperature()
		if !measures {
			delete(r.byID, stationKey{list, st.ID})
			return true
		}
		known++
		st.thermometer = true
		st.First, st.Last = civil.Of(y.first, time.January, 1), civil.Of(y.last, time.December, 31)
		return false
	})
	r.files = append(r.files, listFile{format: p.format, file: p.file, stations: known})
	fmt.Fprintf(s.Err, "%s: the years of %s; stations that measure no temperature by it are left out\n", p.file, counted(known, "station"))
	return nil
}

// parseInventory gives the elements by station id; lines that can't be read
// are told.
func parseInventory(body io.Reader, name string, say io.Writer) (map[string]elements, error) {
	in := bufio.NewReader(body)
	if start, _ := in.Peek(2); len(start) == 2 && start[0] == 0x1f && start[1] == 0x8b {
		unpacked, err := gzip.NewReader(in)
		if err != nil {
			return nil, fmt.Errorf("unpacking %s: %w: fetch it again", name, err)
		}
		in = bufio.NewReader(unpacked)
	}
	found := map[string]elements{}
	var b feed.Batch
	lines := bufio.NewScanner(in)
	for n := 1; lines.Scan(); n++ {
		text := strings.TrimRight(lines.Text(), " \r")
		if text == "" {
			continue
		}
		id, element, y, reason := inventoryLine(text)
		switch {
		case reason != "" && len(b.Rejects) < feed.MaxRejects:
			b.Rejects = append(b.Rejects, feed.Reject{Line: n, Text: text[:min(len(text), 60)], Reason: reason})
		case reason != "":
			b.MoreRejects++
		case found[id] == nil:
			found[id] = elements{}
			fallthrough
		default:
			if temperatureElement(element) {
				found[id][element] = y
			}
		}
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("reading %s: %w: fetch it again", name, err)
	}
	if len(found) == 0 {
		what := "is empty"
		if len(b.Rejects) > 0 {
			what = fmt.Sprintf("is no inventory of GHCN-Daily (line %d: %s)", b.Rejects[0].Line, b.Rejects[0].Reason)
		}
		return nil, fmt.Errorf("%s %s: use ghcnd-inventory.txt", name, what)
	}
	sayRejects(say, name, b)
	return found, nil
}

// temperatureElement: of the others it only matters that the station is there.
func temperatureElement(e string) bool { return e == "TMAX" || e == "TMIN" || e == "TAVG" }

func inventoryLine(text string) (id, element string, y years, reason string) {
	if len(text) != 45 {
		return "", "", y, fmt.Sprintf("the line has %d characters, not 45", len(text))
	}
	id, element = text[:11], text[31:35]
	if strings.Contains(id, " ") || text[11] != ' ' || strings.Contains(element, " ") {
		return "", "", y, "columns 1–11 and 32–35 hold no id and element"
	}
	var err1, err2 error
	y.first, err1 = strconv.Atoi(text[36:40])
	y.last, err2 = strconv.Atoi(text[41:45])
	if err1 != nil || err2 != nil || y.first < 1 || y.last < y.first {
		return "", "", y, "columns 37–45 hold no first and last year"
	}
	return id, element, y, ""
}
