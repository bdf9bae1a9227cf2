package pull

import (
	"slices"

	"budcall/internal/config"
)

// unitDeclared are the formats whose files may leave their unit out, so that a
// person declares it; the others have one of their own.
var unitDeclared = []string{config.FormatDelimited, config.FormatLogger, config.FormatGHCNCDO}

// unitCure is what to do about temperatures that look like degrees Fahrenheit,
// as the settings of a format allow.
func unitCure(format string) string {
	if slices.Contains(unitDeclared, format) {
		return " (declare unit: F for this source, or correct the file)"
	}
	return " (this format has a unit of its own, which can't be declared: compare a day with what the provider shows, tell the provider, or name another station until it is mended)"
}
