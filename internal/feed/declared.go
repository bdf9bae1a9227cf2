package feed

import "slices"

// Declarations that a format looks at beside station, window and zone. The
// other formats state these themselves, in their bytes or by what they are.
const (
	declaresUnit     = "unit"
	declaresLayout   = "columns, separator, decimal, date_layout or missing" // of text in any order
	declaresLocation = "location"
)

// refuseUnused refuses a declaration that the format wouldn't look at: whoever
// made it would take the days for what they declared.
func (f Format) refuseUnused(opt Options) error {
	for _, d := range []struct {
		what      string
		declared  bool
		why, cure string
	}{
		{declaresUnit, opt.Unit != "", "has its own unit, and a unit is declared", "remove unit"},
		{declaresLayout, len(opt.Columns) > 0 || opt.Separator != "" || opt.Decimal != "" || opt.DateLayout != "" || len(opt.Missing) > 0,
			"has its own layout, and " + declaresLayout + " is declared", "remove that, or read the file as delimited or logger"},
		{declaresLocation, opt.Location != 0, "has no several places, and location is declared", "remove location"},
	} {
		if d.declared && !slices.Contains(f.declares, d.what) {
			return refuse(d.cure, "%s %s", f.Name, d.why)
		}
	}
	return nil
}
