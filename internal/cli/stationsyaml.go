package cli

import (
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"

	"budcall/internal/config"
	"budcall/internal/weather"
)

// yaml writes the station to take and its substitutes as entries for
// stations.yml, in the order in which a site should name them.
func (n nearby) yaml(w io.Writer) error {
	if n.first() == nil {
		return errors.New("none of the stations can be taken: without --yaml the reasons are printed")
	}
	used := map[string]bool{}
	var codes []string
	var entries strings.Builder
	for _, r := range n.ranked {
		if r.Advice != weather.Take && r.Advice != weather.Substitute {
			continue
		}
		code := stationCode(r.Name, r.ID, used)
		codes = append(codes, code)
		entries.WriteString(r.entry(code))
	}
	text := fmt.Sprintf("# The site names them in this order: stations: [%s]\nstations:\n%s", strings.Join(codes, ", "), &entries)
	if _, err := io.WriteString(w, text); err != nil {
		return fmt.Errorf("writing the answer: %w", err)
	}
	return nil
}

// entry is one station as stations.yml has it. What the list doesn't say stays
// empty, so that check asks for it.
func (r rankedStation) entry(code string) string {
	altitude := " # look it up: the list doesn't say it"
	if !math.IsNaN(r.AltitudeM) {
		altitude = fmt.Sprintf(" %g", r.AltitudeM)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "  # %s: %s\n  - code: %s\n    name: %s\n", r.Advice, strings.Join(strings.Fields(r.Why), " "), code, strconv.Quote(r.Name))
	fmt.Fprintf(&b, "    lat_deg: %g\n    lon_deg: %g\n    altitude_m:%s\n", r.Place.LatitudeDeg, r.Place.LongitudeDeg, altitude)
	fmt.Fprintf(&b, "    format: %s\n    id: %s\n", r.list.station, strconv.Quote(r.ID))
	if r.list.station == config.FormatFrost {
		b.WriteString("    key_file: # the file with the client id that the provider gave you\n")
	}
	if r.list.station == config.FormatECAD {
		b.WriteString("    path: # the file of the series that you fetched by hand, such as TG_STAID000001.txt\n")
	}
	return b.String()
}

var (
	notOfCode = regexp.MustCompile(`[^A-Z0-9]+`)
	// The letters of northern and central Europe that a code can't have.
	plainLetters = strings.NewReplacer(
		"Å", "A", "Ä", "A", "Á", "A", "À", "A", "Â", "A", "Ą", "A", "Ā", "A", "Æ", "AE", "Č", "C", "Ć", "C", "Ç", "C", "Ď", "D", "Đ", "D", "Ð", "D",
		"É", "E", "È", "E", "Ê", "E", "Ë", "E", "Ę", "E", "Ė", "E", "Ě", "E", "Ē", "E", "Ģ", "G", "Í", "I", "Î", "I", "Ï", "I", "Į", "I", "Ī", "I",
		"Ķ", "K", "Ł", "L", "Ļ", "L", "Ľ", "L", "Ń", "N", "Ň", "N", "Ņ", "N", "Ŋ", "N", "Ö", "O", "Ø", "O", "Ó", "O", "Ô", "O", "Õ", "O", "Ő", "O", "Œ", "OE",
		"Ř", "R", "Š", "S", "Ś", "S", "Ş", "S", "ẞ", "SS", "ß", "SS", "Ť", "T", "Ŧ", "T", "Þ", "TH", "Ü", "U", "Ú", "U", "Û", "U", "Ů", "U", "Ų", "U", "Ū", "U", "Ű", "U",
		"Ý", "Y", "Ž", "Z", "Ź", "Z", "Ż", "Z",
	)
)

// longestCode is that of a place's code in the settings.
const longestCode = 16

// stationCode makes a code of a station's name that the settings take and that
// isn't used yet.
func stationCode(name, id string, used map[string]bool) string {
	plain := plainLetters.Replace(strings.ToUpper(name))
	code := strings.Trim(notOfCode.ReplaceAllString(plain, "-"), "-")
	if len(code) < 2 || code[0] < 'A' {
		code = strings.Trim("STATION-"+notOfCode.ReplaceAllString(strings.ToUpper(id), "-"), "-")
	}
	free := strings.TrimRight(code[:min(len(code), longestCode)], "-")
	for n := 2; used[free]; n++ {
		end := "-" + strconv.Itoa(n)
		free = code[:min(len(code), longestCode-len(end))] + end
	}
	used[free] = true
	return free
}
