package cli

import "budcall/internal/app"

// pullPart is a part as programs read it.
type pullPart struct {
	Station  string `json:"station"`
	First    string `json:"first,omitempty"`
	Last     string `json:"last"`
	Days     int    `json:"days"`
	Rejected int    `json:"rejected"`
	Before   string `json:"fetched_before,omitempty"`
	Trouble  string `json:"trouble,omitempty"`
	Nothing  bool   `json:"nothing,omitempty"`
	Error    string `json:"error,omitempty"`
}

func pullJSON(o pullOptions, f app.Filled) any {
	out := struct {
		Site    string     `json:"site,omitempty"`
		Station string     `json:"station,omitempty"`
		LeftOut []string   `json:"left_out,omitempty"`
		Days    int        `json:"days"`
		Parts   []pullPart `json:"parts"`
	}{Site: o.site, Station: o.station, Days: f.Stored}
	for _, l := range f.LeftOut {
		out.LeftOut = append(out.LeftOut, l.Station)
	}
	for _, p := range f.Parts {
		j := pullPart{Station: p.Station, Last: p.Days.Last.String(), Days: p.Stored, Rejected: p.Rejected, Trouble: p.Trouble, Nothing: p.Nothing}
		if !p.Days.First.IsZero() {
			j.First = p.Days.First.String()
		}
		if !p.Before.IsZero() {
			j.Before = p.Before.UTC().Format("2006-01-02T15:04:05Z")
		}
		if p.Err != nil {
			j.Error = p.Err.Error()
		}
		out.Parts = append(out.Parts, j)
	}
	return out
}
