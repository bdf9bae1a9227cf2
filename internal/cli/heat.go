package cli

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"strconv"

	"budcall/internal/civil"
	"budcall/internal/degreeday"
)

var heatCommand = command{
	name: "heat", operands: "FILE", least: 1,
	purpose: "print the degree days of a file of temperatures, and their sum",
	text: "FILE is text with the header date,tmin_c,tmax_c,tmean_c (any of the temperatures may be left out), unless options say otherwise; - reads standard input. One season is summed: from the start day to the end of its year, or to the file's last day where that is earlier.\n" +
		"A day without usable temperatures makes the sum unknown: it is named, and the exit status is 1. The double methods look at the next day's minimum, so with them the sum ends a day before the file does.",
	example: "budcall heat --method sine --base 5 --start 03-01 station.csv\nbudcall heat --method mean --unit C --columns date=Day,tmean=Mean --json station.csv",
	define:  defineHeat,
}

// heatFlags is what heat was told, as it was typed.
type heatFlags struct {
	source
	method, cutoff, upper, start string
	baseC                        float64
	year                         int
	machine                      bool
}

func defineHeat(f *flag.FlagSet) action {
	h := &heatFlags{}
	f.StringVar(&h.method, "method", string(degreeday.Average1), "`NAME` of the method: mean, average1, average2, four-case, triangle, sine, double-triangle or double-sine")
	f.Float64Var(&h.baseC, "base", 5, "base temperature in `DEGREES` Celsius, below which nothing counts")
	f.StringVar(&h.upper, "upper", "", "upper threshold in `DEGREES` Celsius; none, unless set")
	f.StringVar(&h.cutoff, "cutoff", string(degreeday.Horizontal), "what happens above the upper threshold, by `NAME`: horizontal, intermediate or vertical")
	f.StringVar(&h.start, "start", "01-01", "first `DAY` that counts, MM-DD or YYYY-MM-DD")
	f.IntVar(&h.year, "year", 0, "the `YEAR` that is summed; without it, that of --start, or the last one in the file")
	h.source.define(f)
	f.BoolVar(&h.machine, "json", false, "for programs: method, base_c, upper_c, cutoff, start, sum_cd (°C·d, null where unknown), missing and days")
	return h.do
}

func (h *heatFlags) do(_ context.Context, operands []string, s Streams) error {
	rule, err := h.rule()
	if err != nil {
		return err
	}
	start, year, err := parseStart(h.start, h.year)
	if err != nil {
		return err
	}
	series, err := h.source.read(operands[0], s)
	if err != nil {
		return err
	}
	over, err := series.season(start, year, rule.Method.Double())
	if err != nil {
		return err
	}
	sum, err := rule.Accumulate(series.days, over)
	if err != nil {
		return fmt.Errorf("%s: %w", series.name, err)
	}
	if h.machine {
		err = asJSON(s.Out, heatJSON(rule, over.First, sum))
	} else {
		err = heatTable(s.Out, rule, over, sum)
	}
	if err == nil && len(sum.Missing) > 0 {
		series.sayMissing(s.Err, sum.Missing)
		return errSaid
	}
	return err
}

func (h *heatFlags) rule() (degreeday.Rule, error) {
	upperC := math.NaN()
	if h.upper != "" {
		var err error
		if upperC, err = strconv.ParseFloat(h.upper, 64); err != nil || math.IsNaN(upperC) {
			return degreeday.Rule{}, misused("--upper is %q: give a number of degrees Celsius", h.upper)
		}
	}
	rule, err := degreeday.NewRule(degreeday.Method(h.method), degreeday.Cutoff(h.cutoff), h.baseC, upperC)
	if err != nil {
		return rule, misused("%v", err)
	}
	return rule, nil
}

// parseStart reads the first day; year is 0 where it isn't said.
func parseStart(text string, year int) (civil.MonthDay, int, error) {
	if year < 0 || year > 9999 {
		return civil.MonthDay{}, 0, misused("--year is %d: give a year such as 2031", year)
	}
	if d, err := civil.Parse(text); err == nil {
		if year != 0 && year != d.Year() {
			return civil.MonthDay{}, 0, misused("--start is in %d and --year is %d: leave one of them out", d.Year(), year)
		}
		return civil.MonthDay{Month: d.Month(), Day: d.Day()}, d.Year(), nil
	}
	d, err := civil.Parse("2000-" + text) // a leap year: 02-29 is a day too
	if err != nil {
		return civil.MonthDay{}, 0, misused("--start is %q: write MM-DD or YYYY-MM-DD, such as 03-01", text)
	}
	return civil.MonthDay{Month: d.Month(), Day: d.Day()}, year, nil
}

// notOpened says why a file can't be read, and what to do.
func notOpened(name string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s isn't there: look how its name is written, and in which folder it is", name)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("%s may not be read by you: give yourself the right to, or let somebody copy it", name)
	}
	return fmt.Errorf("opening %s: %w (look at the file and the disk)", name, err)
}

// open opens a file, or standard input for -.
func open(name string, s Streams) (io.ReadCloser, string, error) {
	if name == "-" {
		return io.NopCloser(s.In), "standard input", nil
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, name, notOpened(name, err)
	}
	if at, err := f.Stat(); err == nil && at.IsDir() {
		f.Close()
		return nil, name, fmt.Errorf("%s is a folder: name the files in it", name)
	}
	return f, name, nil
}
