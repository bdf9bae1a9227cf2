package sheet

import (
	"strconv"
	"strings"

	"budcall/internal/trail"
	"budcall/internal/words"
)

func (s Season) trees() file {
	f := file{
		name:  "trees",
		Table: columns("site", "tree", "code", "gone", "bears", "catkins", "bags", "lots"),
		shown: []string{"site", "tree", "code", "gone", "bears", "catkins", "bags", "lots"},
	}
	lots := map[string][]string{}
	for _, l := range s.Trail.Lots {
		lots[l.Tree] = append(lots[l.Tree], l.Code)
	}
	for _, t := range s.Trail.Trees {
		gone, bears := "", ""
		if t.Tree.Gone {
			gone = yes
		}
		switch {
		case t.Bears:
			bears = yes
		case t.NoCatkins:
			bears = "no"
		}
		var hung []string
		for _, b := range t.Bags {
			if b.State != trail.Planned {
				hung = append(hung, b.Code)
			}
		}
		f.add(map[string]string{
			"site": t.Site, "tree": t.Tree.Short, "code": t.Code, "gone": gone, "bears": bears, "catkins": unlessZero(t.Catkins),
			"bags": strings.Join(hung, " "), "lots": strings.Join(lots[trail.Base(t.Tree.Code)], " "),
		})
	}
	return f
}

func (s Season) bags() file {
	return file{name: "bags", Table: FromBags(s.Trail.Trees)}
}

func (s Season) lots() file {
	t := FromLots(s.Trail.Lots)
	return file{name: "lots", Table: t, shown: []string{"code", "site", "kind", "state", "bags", "packets", "picked", "came", "received", "condition"}}
}

func (s Season) unplaced() file {
	f := file{name: "unplaced", Table: columns("code", "written", "kind", "packets", "received", "person", "near", "into", "placed_by", "placed", "why")}
	for _, u := range s.Trail.Unplaced {
		var near []string
		for _, n := range u.Near {
			near = append(near, n.Code)
		}
		f.add(map[string]string{
			"code": u.Code, "written": canonical(u.Written), "kind": string(u.Kind), "packets": unlessZero(u.Packets), "received": isoOrEmpty(u.Received),
			"person": u.By, "near": strings.Join(near, " "), "into": u.Into, "placed_by": u.PlacedBy, "placed": isoOrEmpty(u.PlacedOn), "why": canonical(u.Why),
		})
	}
	return f
}

func (s Season) isolation() file {
	f := file{
		name: "isolation",
		Table: columns("site", "tree", "verdict", "selfing_lot", "selfing_filled", "selfing_of", "selfing_catkins", "control_lot", "control_filled",
			"control_of", "control_catkins", "ratio", "ratio_low", "ratio_high", "one_sided", "at_most", "doubtful", "said"),
		shown: []string{"site", "tree", "selfing_lot", "selfing_filled", "selfing_of", "selfing_catkins", "control_lot", "control_filled", "control_of", "control_catkins",
			"ratio", "ratio_low", "ratio_high", "said"},
	}
	c := words.For(s.Lang)
	for _, i := range s.Trail.Isolations() {
		row := map[string]string{"site": i.Site, "tree": trail.WithCheck(i.Tree), "verdict": string(i.Verdict), "said": c.Isolation(i)}
		var doubtful []string
		for _, of := range []struct {
			name  string
			tried *trail.Tried
		}{{"selfing", i.Selfing}, {"control", i.Control}} {
			if of.tried == nil {
				continue
			}
			row[of.name+"_lot"] = of.tried.Lot
			if of.tried.Samples > 0 {
				row[of.name+"_filled"], row[of.name+"_of"] = strconv.Itoa(of.tried.Filled.Got), strconv.Itoa(of.tried.Filled.Of)
				row[of.name+"_catkins"] = unlessZero(of.tried.Catkins)
			}
			if of.tried.Doubtful {
				doubtful = append(doubtful, of.tried.Lot)
			}
		}
		row["doubtful"] = strings.Join(doubtful, " ")
		if r := i.Ratio; r != nil {
			row["ratio"], row["ratio_low"], row["ratio_high"] = significant(r.Estimate), significant(r.Low), significant(r.High)
			if r.OneSided {
				row["one_sided"], row["ratio_low"] = yes, ""
			}
		}
		if i.Verdict == trail.Bounded {
			row["at_most"] = significant(i.AtMost)
		}
		f.add(row)
	}
	return f
}

// significant writes a number with three significant digits.
func significant(x float64) string {
	v, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64)
	if err != nil {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
