package app

import (
	"budcall/internal/config"
	"budcall/internal/feed"
)

// feedOptions says to the parser what the configuration says of a station.
func feedOptions(st config.Station) feed.Options {
	o := feed.Options{
		Station: st.ID, Columns: st.Columns, Unit: st.Unit, Separator: st.Separator, Decimal: st.Decimal,
		DateLayout: st.DateLayout, Missing: st.Missing, Location: st.Location, Clock: st.Clock, Zone: st.Zone,
		LeastShare: st.LeastShare, LongestGap: st.LongestGap,
	}
	if st.Format == config.FormatECCC && st.Served {
		o.Station = "" // it is asked for by another number than the Climate ID in its files
	}
	if st.Window.Zone != "" {
		o.Window = feed.Window{StartHour: st.Window.StartHour, EndHour: st.Window.EndHour, Zone: st.Window.Zone, Label: feed.Label(st.Window.Label)}
	}
	return o
}
