package link

import "time"

// OpensSettings is the claim of a link to the settings of a site.
const OpensSettings = "settings"

// Settings gives the claim with which a person sees and changes a site's
// settings, as far as they may.
func Settings(person, site string, expires time.Time) Claim {
	return Claim{Opens: OpensSettings, Person: person, Site: site, Expires: expires}
}
