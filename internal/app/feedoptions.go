package app

import (
	"cmp"

	"budcall/internal/config"
	"budcall/internal/feed"
)

// feedOptions says to the parser what the configuration says of a station.
func feedOptions(st config.Station) feed.Options {
	o := feed.Options{
		Station: cmp.Or(st.ID, st.Code), Columns: st.Columns, Unit: st.Unit, Separator: st.Separator, Decimal: st.Decimal,
		DateLayout: st.DateLayout, Missing: st.Missing, Location: st.Location,
	}
	if st.Window.Zone != "" {
		o.Window = feed.Window{StartHour: st.Window.StartHour, EndHour: st.Window.EndHour, Zone: st.Window.Zone, Label: feed.Label(st.Window.Label)}
	}
	return o
}
