package feed_test

import (
	"strings"
	"testing"

	"budcall/internal/feed"
)

// Common practice, no source: what is declared and not looked at is refused,
// for whoever declared °F would take °C for it.
func TestADeclarationThatAFormatDoesNotUseIsRefused(t *testing.T) {
	for name, c := range map[string]struct {
		declared feed.Options
		used     string // by these formats
		says     string
	}{
		"a unit":      {feed.Options{Unit: "F"}, "delimited logger ghcn-cdo", "has its own unit, and a unit is declared (remove unit)"},
		"columns":     {feed.Options{Columns: map[string]string{"date": "1"}}, "delimited logger", "has its own layout"},
		"a separator": {feed.Options{Separator: ";"}, "delimited logger", "has its own layout"},
		"a decimal":   {feed.Options{Decimal: ","}, "delimited logger", "has its own layout"},
		"a layout":    {feed.Options{DateLayout: "DD.MM.YYYY"}, "delimited logger", "has its own layout"},
		"a code":      {feed.Options{Missing: []string{"-99"}}, "delimited logger", "read the file as delimited or logger"},
		"a location":  {feed.Options{Location: 2}, "open-meteo", "has no several places"},
	} {
		for _, f := range feed.Formats() {
			if f.List {
				continue
			}
			_, err := feed.Parse(f.Name, strings.NewReader("x"), c.declared)
			refused := err != nil && strings.Contains(err.Error(), c.says)
			if used := strings.Contains(" "+c.used+" ", " "+f.Name+" "); refused == used {
				t.Errorf("%s of %s: %v", name, f.Name, err)
			}
		}
	}
}
