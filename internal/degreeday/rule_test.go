package degreeday_test

import (
	"math"
	"strings"
	"testing"

	"budcall/internal/degreeday"
)

func TestARuleIsCheckedOnce(t *testing.T) {
	inf := math.Inf(1)
	// Each wanted piece of text is our own wording.
	for name, c := range map[string]struct {
		method degreeday.Method
		cutoff degreeday.Cutoff
		base   float64
		upper  float64
		want   string // part of the error; empty: taken
	}{
		"a base and no more":                      {"sine", "", 5, none, ""},
		"a base below freezing":                   {"mean", "", -2, none, ""},
		"both thresholds":                         {"triangle", "vertical", 5, 25, ""},
		"a mean cut at the upper threshold":       {"mean", "horizontal", 5, 25, ""},
		"horizontal said without an upper":        {"average2", "horizontal", 5, none, ""},
		"a double method with every cutoff":       {"double-sine", "intermediate", 5, 25, ""},
		"a method of no such name":                {"cosine", "", 5, none, `no method is called "cosine": write one of mean, average1,`},
		"a method in capitals":                    {"Sine", "", 5, none, "no method"},
		"no method":                               {"", "", 5, none, "no method"},
		"a cutoff of no such name":                {"sine", "diagonal", 5, 25, `no cutoff is called "diagonal": write one of horizontal, intermediate, vertical`},
		"a base that is no number":                {"sine", "", none, none, "the base is NaN: give a number"},
		"an endless base":                         {"sine", "", -inf, none, "the base is -Inf"},
		"41 °F as base":                           {"sine", "", 41, none, "is it in Fahrenheit? 41 °F are 5 °C"},
		"a base colder than any plant's":          {"sine", "", -20.1, none, "outside -20 to 30"},
		"86 °F as upper threshold":                {"sine", "", 10, 86, "is it in Fahrenheit? 86 °F are 30 °C"},
		"an endless upper threshold":              {"sine", "", 5, inf, "the upper threshold is +Inf"},
		"the thresholds swapped":                  {"sine", "", 25, 5, "the upper threshold of 5 °C isn't above the base of 25 °C: swap them"},
		"both thresholds the same":                {"sine", "", 5, 5, "isn't above the base"},
		"a vertical cutoff of a mean":             {"mean", "vertical", 5, 25, "the vertical cutoff isn't defined for the method mean: use horizontal"},
		"an intermediate cutoff of average1":      {"average1", "intermediate", 5, 25, "isn't defined for the method average1"},
		"a vertical cutoff of average2":           {"average2", "vertical", 5, 25, "isn't defined for the method average2"},
		"an intermediate cutoff of the four-case": {"four-case", "intermediate", 5, 25, "isn't defined for the method four-case"},
		"a vertical cutoff at no threshold":       {"sine", "vertical", 5, none, "no upper threshold to work at: give one, or leave the cutoff out"},
	} {
		t.Run(name, func(t *testing.T) {
			r, err := degreeday.NewRule(c.method, c.cutoff, c.base, c.upper)
			switch {
			case c.want == "" && err != nil:
				t.Errorf("refused: %v", err)
			case c.want == "" && (r.Method != c.method || r.BaseC != c.base || r.Cutoff == ""):
				t.Errorf("made %+v", r)
			case c.want != "" && err == nil:
				t.Errorf("taken as %+v", r)
			case c.want != "" && !strings.Contains(err.Error(), c.want):
				t.Errorf("%q doesn't say %q", err, c.want)
			}
		})
	}
}

func TestNamesAreReadAsWritten(t *testing.T) {
	for _, m := range degreeday.Methods {
		if got, err := degreeday.ParseMethod(string(m)); got != m || err != nil {
			t.Errorf("%s is read as %q, %v", m, got, err)
		}
	}
	for _, c := range degreeday.Cutoffs {
		if got, err := degreeday.ParseCutoff(string(c)); got != c || err != nil {
			t.Errorf("%s is read as %q, %v", c, got, err)
		}
	}
	if _, err := degreeday.ParseCutoff(""); err == nil {
		t.Error("no cutoff is read as one")
	}
}

func TestWhatAMethodNeeds(t *testing.T) {
	for _, m := range degreeday.Methods {
		if m.Extremes() == (m == degreeday.Mean) {
			t.Errorf("%s: needs extremes is %v", m, m.Extremes())
		}
		if m.Double() != strings.HasPrefix(string(m), "double-") {
			t.Errorf("%s: needs the next day is %v", m, m.Double())
		}
	}
}
