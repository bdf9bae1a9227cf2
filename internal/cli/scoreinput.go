package cli

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"budcall/internal/hindcast"
)

// parseLeads reads days with commas between, the longest lead first.
func parseLeads(text string) (leads []int, err error) {
	for part := range strings.SplitSeq(text, ",") {
		n, err := strconv.Atoi(strings.TrimSpace(part))
		if err != nil {
			return nil, misused("--leads: %q is no number of days: write such as 21,14,7", part)
		}
		leads = append(leads, n)
	}
	slices.Sort(leads)
	slices.Reverse(leads)
	return slices.Compact(leads), nil
}

// listed is the series that are asked for, one by one or by a file.
func (c *scoreFlags) listed() ([]hindcast.Listed, error) {
	if c.list == "" {
		if c.species == "" || c.phase == "" {
			return nil, misused("give --species and --phase as the observations have them, or many of them by --list FILE.csv")
		}
		if len(c.series) == 0 {
			return []hindcast.Listed{{Species: c.species, Phase: c.phase}}, nil
		}
		var all []hindcast.Listed
		for _, name := range c.series {
			all = append(all, hindcast.Listed{Series: name, Species: c.species, Phase: c.phase})
		}
		return all, nil
	}
	if c.species != "" || c.phase != "" || len(c.series) > 0 {
		return nil, misused("--list names species, phases and series: leave --species, --phase and --series out")
	}
	f, err := os.Open(c.list)
	if err != nil {
		return nil, fmt.Errorf("opening the list of series: %w: write one with the header series,species,phase", err)
	}
	defer f.Close()
	all, err := hindcast.ReadList(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.list, err)
	}
	return all, nil
}

// temperatureFile opens a file of the folder of temperatures.
func (c *scoreFlags) temperatureFile(name string) (io.ReadCloser, error) {
	if !filepath.IsLocal(name) {
		return nil, fmt.Errorf("it lies outside of %s: name files of that folder alone", c.temperatures)
	}
	f, err := os.Open(filepath.Join(c.temperatures, name))
	if err != nil {
		return nil, err
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Close()
		return nil, fmt.Errorf("it is a folder")
	}
	return f, nil
}

// writable tells before the work, not after it, that a file can't be written.
func (c *scoreFlags) writable() error {
	for _, name := range []string{c.chart, c.cases} {
		if name == "" {
			continue
		}
		if info, err := os.Stat(filepath.Dir(name)); err != nil || !info.IsDir() {
			return fmt.Errorf("there is no folder %s to write %s into: make it first", filepath.Dir(name), filepath.Base(name))
		}
		if info, err := os.Stat(name); err == nil && info.IsDir() {
			return fmt.Errorf("%s is a folder: name a file", name)
		}
		if read, is := c.readFrom(name); is {
			return fmt.Errorf("%s would be written over %s, which is read: name another file", name, read)
		}
	}
	if c.chart != "" && filepath.Clean(c.chart) == filepath.Clean(c.cases) {
		return fmt.Errorf("--chart and --cases both name %s: name two files", c.chart)
	}
	if info, err := os.Stat(c.temperatures); err != nil || !info.IsDir() {
		return fmt.Errorf("there is no folder %s of temperatures: name the one that holds the files of the column temperature_file", c.temperatures)
	}
	return nil
}

// readFrom reports whether a file is one that is read: the observations, the
// list, or one in the folder of temperatures.
func (c *scoreFlags) readFrom(name string) (what string, is bool) {
	there, err := os.Stat(name)
	if err != nil {
		return "", false // it isn't there yet
	}
	for what, path := range map[string]string{"the observations": c.observations, "the list": c.list} {
		if info, err := os.Stat(path); path != "" && err == nil && os.SameFile(info, there) {
			return what, true
		}
	}
	info, err := os.Stat(filepath.Join(c.temperatures, filepath.Base(name)))
	return "a file of the temperatures", err == nil && os.SameFile(info, there)
}
