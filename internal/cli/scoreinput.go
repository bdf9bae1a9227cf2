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
	path := filepath.Join(c.temperatures, name)
	for _, out := range []string{c.chart, c.cases} {
		if sameFile(out, path) {
			c.clash = overwritten(out, "a file of the temperatures")
			return nil, c.clash
		}
	}
	f, err := os.Open(path)
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
		for what, path := range map[string]string{"the observations": c.observations, "the list": c.list} {
			if sameFile(name, path) {
				return overwritten(name, what)
			}
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

// sameFile reports whether two names are of one file that is there.
func sameFile(a, b string) bool {
	one, err1 := os.Stat(a)
	other, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(one, other)
}

func overwritten(name, what string) error {
	return fmt.Errorf("%s would be written over %s, which is read: name another file", name, what)
}
