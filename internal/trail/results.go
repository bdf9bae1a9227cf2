package trail

import "budcall/internal/civil"

// Laboratory is what the laboratory found of a lot, or of seed that is
// unplaced. Of each thing the latest entry holds; samples of filled seed add up.
// What was found while part of the lot was unplaced stands under that code.
type Laboratory struct {
	Masses      []MassesOf     `json:"masses,omitempty"`
	Moisture    []MoistureOf   `json:"moisture,omitempty"`
	SeedWeight  []SeedWeightOf `json:"seed_weight,omitempty"`
	Filled      Filled         `json:"filled"` // all samples
	Samples     int            `json:"samples"`
	ByCatkins   Filled         `json:"filled_by_catkins"` // the samples whose catkins were counted
	Germination []*Germination `json:"germination,omitempty"`
	Store       string         `json:"store,omitempty"`
	under       string
}

// MassesOf is the masses of what lies under a code.
type MassesOf struct {
	Under string     `json:"under"`
	Day   civil.Date `json:"day"`
	Masses
}

// MoistureOf is the moisture of it.
type MoistureOf struct {
	Under   string     `json:"under"`
	Day     civil.Date `json:"day"`
	Percent float64    `json:"percent"` // of the fresh mass
	Moisture
}

// SeedWeightOf is its thousand-seed weight.
type SeedWeightOf struct {
	Under            string     `json:"under"`
	Day              civil.Date `json:"day"`
	ThousandG        float64    `json:"thousand_g"`
	VariationPercent float64    `json:"variation_percent"`
	SeedWeight
}

// take books an entry, and says why it isn't used where it can't be.
func (f *Laboratory) take(e Entry) (unused string) {
	switch e.Kind {
	case LabWeighed:
		f.weigh(*e.Masses, e.Day)
	case LabMoisture:
		f.Moisture = one(MoistureOf{f.under, e.Day, e.Moisture.Percent(), *e.Moisture})
	case LabSeedWeight:
		w := *e.SeedWeight
		f.SeedWeight = one(SeedWeightOf{f.under, e.Day, w.ThousandG(), w.VariationPercent(), w})
	case LabFilled:
		f.Samples++
		f.Filled = f.Filled.plus(*e.Filled)
		if e.Filled.Catkins > 0 {
			f.ByCatkins = f.ByCatkins.plus(*e.Filled)
		}
	case LabSown:
		g := &Germination{Sown: e.Day, Seeds: e.Sown.Seeds, countDays: e.Sown.CountDays}
		g.remind()
		f.Germination = append(f.Germination, g)
	case LabCounted:
		if len(f.Germination) == 0 {
			return "no germination test was begun"
		}
		return f.Germination[len(f.Germination)-1].count(*e.Counted, e.Day)
	case LabStored:
		f.Store = e.Store
	case LabReceived, LabPlaced, LabAlias:
		return "it can't be said of " + f.under
	}
	return ""
}

// weigh books masses; one that wasn't weighed this time stays.
func (f *Laboratory) weigh(m Masses, day civil.Date) {
	now := MassesOf{f.under, day, m}
	if n := len(f.Masses); n > 0 {
		if now.BeforeG == 0 {
			now.BeforeG = f.Masses[n-1].BeforeG
		}
		if now.AfterG == 0 {
			now.AfterG = f.Masses[n-1].AfterG
		}
	}
	f.Masses = one(now)
}

// one is what was found last: while results are gathered under one code there
// is one of each.
func one[T any](now T) []T { return []T{now} }

func (f Filled) plus(g Filled) Filled {
	return Filled{f.Filled + g.Filled, f.Tested + g.Tested, f.Catkins + g.Catkins}
}

// join adds what was found under another code.
func (f *Laboratory) join(part *Laboratory) {
	f.Masses = append(f.Masses, part.Masses...)
	f.Moisture = append(f.Moisture, part.Moisture...)
	f.SeedWeight = append(f.SeedWeight, part.SeedWeight...)
	f.Filled, f.ByCatkins = f.Filled.plus(part.Filled), f.ByCatkins.plus(part.ByCatkins)
	f.Samples += part.Samples
	f.Germination = append(f.Germination, part.Germination...)
	if f.Store == "" {
		f.Store = part.Store
	}
}

// Due gives the day of the next germination count; zero where none is to come.
func (f *Laboratory) Due() (day civil.Date) {
	for _, g := range f.Germination {
		if g.Due != 0 && (day == 0 || g.Due < day) {
			day = g.Due
		}
	}
	return day
}
