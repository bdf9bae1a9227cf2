package advance

import (
	"budcall/internal/call"
	"budcall/internal/config"
	"budcall/internal/season"
)

// Holder gives the code of the person who has a call of a site as it is stored;
// left is false where everybody who could be asked has been asked, and then the
// code is that of the last of them. It is empty where nobody is named.
func Holder(p *config.Programme, site config.Site, task call.Task, s season.State) (person string, left bool) {
	chain := seasonSite(Task{Programme: p, Site: site}, 0).Chain(task)
	if len(chain) == 0 {
		return "", false
	}
	return chain[min(s.Level, len(chain)-1)].Code, s.Level < len(chain)
}
