package cli

import (
	"strconv"
	"strings"

	"budcall/internal/app"
	"budcall/internal/trail"
)

// entering turns what was typed into the one thing to enter.
func (l *labFlags) entering(operands []string) (in app.Entering, err error) {
	k, err := findLabKind(operands[0])
	if err != nil {
		return in, err
	}
	rest := operands[1:]
	if err := k.check(l, rest); err != nil {
		return in, err
	}
	if err := l.ofSeason.check(); err != nil {
		return in, err
	}
	in = app.Entering{Kind: k.kind, Codes: rest[:1], Of: trail.BagKind(l.kind), Season: l.season, Person: l.person, Why: strings.TrimSpace(l.why)}
	if in.Of != "" && in.Of != trail.Selfing && in.Of != trail.Control {
		return in, misused("--kind %s is neither selfing nor control", l.kind)
	}
	if in.Day, err = parseDay("day", l.day); err != nil {
		return in, err
	}
	err = l.data(&in, rest)
	return in, err
}

func (l *labFlags) data(in *app.Entering, rest []string) (err error) {
	switch in.Kind {
	case trail.LabReceived:
		in.Codes = rest
		in.Data.Receipt = &trail.Receipt{Packets: l.packets, Condition: strings.TrimSpace(l.condition)}
		if !l.given["packets"] {
			in.Data.Receipt.Packets = len(rest)
		}
	case trail.LabPlaced:
		in.Data.Into = rest[1]
	case trail.LabWeighed:
		in.Data.Masses = &trail.Masses{BeforeG: l.beforeG, AfterG: l.afterG}
	case trail.LabMoisture:
		in.Data.Moisture, err = parseSamples(l.samples)
	case trail.LabSeedWeight:
		w := &trail.SeedWeight{}
		if w.Seeds, err = strconv.Atoi(l.seeds); err != nil {
			return misused("--seeds %q is no number: give the seeds in each replicate, such as 100", l.seeds)
		}
		w.Grams, err = commaList("grams", l.grams, parseGrams)
		in.Data.SeedWeight = w
	case trail.LabFilled:
		if l.given["catkins"] && l.catkins < 1 {
			return misused("--catkins %d: give how many catkins held the tested seeds, or leave it out where they weren't counted", l.catkins)
		}
		in.Data.Another = l.another
		in.Data.Filled = &trail.Filled{Filled: l.filled, Tested: l.tested, Catkins: l.catkins}
	case trail.LabSown:
		in.Data.Another = l.another
		g := &trail.Sown{CountDays: trail.DefaultCountDays}
		if g.Seeds, err = commaList("seeds", l.seeds, strconv.Atoi); err == nil && l.given["count-days"] {
			g.CountDays, err = commaList("count-days", l.days, strconv.Atoi)
		}
		in.Data.Sown = g
	case trail.LabCounted:
		c := &trail.Counted{}
		c.Germinated, err = commaList("germinated", l.germs, strconv.Atoi)
		in.Data.Counted = c
	case trail.LabStored:
		in.Data.Store = strings.TrimSpace(rest[1])
	case trail.LabAlias:
		in.Data.Alias = strings.TrimSpace(rest[1])
	case trail.LabWithdrawn:
		if in.Data.Withdraws, err = strconv.ParseInt(rest[0], 10, 64); err != nil || in.Data.Withdraws < 1 {
			return misused("%q is no number of an entry: `budcall trail CODE` shows them", rest[0])
		}
	}
	return err
}

// parseSamples reads 10.02/15.11/14.70,10.00/15.00/14.60.
func parseSamples(text string) (*trail.Moisture, error) {
	m := &trail.Moisture{}
	for part := range strings.SplitSeq(text, ",") {
		fields := strings.Split(strings.TrimSpace(part), "/")
		if len(fields) != 3 {
			return nil, misused("--sample %q isn't three masses: give CONTAINER/BEFORE/AFTER in grams, with points for decimals, such as 10.02/15.11/14.70", part)
		}
		var g [3]float64
		for i, f := range fields {
			var err error
			if g[i], err = parseGrams(f); err != nil {
				return nil, misused("--sample: %q is no mass in grams: write it as 10.02", f)
			}
		}
		m.Samples = append(m.Samples, trail.Sample{ContainerG: g[0], BeforeG: g[1], AfterG: g[2]})
	}
	return m, nil
}

func parseGrams(text string) (float64, error) { return strconv.ParseFloat(strings.TrimSpace(text), 64) }

// commaList reads numbers with commas between.
func commaList[T any](option, text string, one func(string) (T, error)) (list []T, err error) {
	for part := range strings.SplitSeq(text, ",") {
		v, err := one(strings.TrimSpace(part))
		if err != nil {
			return nil, misused("--%s: %q is no number: give numbers with commas between", option, part)
		}
		list = append(list, v)
	}
	return list, nil
}
