package words

import "strings"

// How the species is told from its neighbours, before anything is hung on it.
const (
	StepsSpecies      Key = "steps.species"
	StepsSilverBirch  Key = "steps.silver-birch"
	silverBirchInName     = "Betula pendula"
)

// SpeciesStep gives how a species is made sure of. What tells silver birch from
// downy birch is common practice, no source; of another species its name is
// said, as the profile has it. No name stands for silver birch: letters written
// before others could be named are about that.
func (c *Catalogue) SpeciesStep(species string) string {
	if species == "" || strings.Contains(species, silverBirchInName) {
		return c.Text(StepsSilverBirch)
	}
	return c.Text(StepsSpecies, Args{"species": species})
}

var englishSpecies = Texts{
	StepsSpecies:     "Make sure of the species: what is wanted here is {species}.",
	StepsSilverBirch: "Make sure of the species: silver birch has dark, scaly bark at the base and hanging twigs.",
}

var finnishSpecies = Texts{
	StepsSpecies:     "Varmista laji: täällä haetaan lajia {species}.",
	StepsSilverBirch: "Varmista laji: rauduskoivulla on tyvellä tumma, karkea kaarna ja riippuvat oksat.",
}

var swedishSpecies = Texts{
	StepsSpecies:     "Förvissa dig om arten: här gäller det {species}.",
	StepsSilverBirch: "Förvissa dig om arten: vårtbjörk har mörk, skrovlig bark vid basen och hängande kvistar.",
}
