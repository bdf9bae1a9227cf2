package config

// Person gives who stands under a code; false where nobody does.
func (p *Programme) Person(code string) (Person, bool) {
	for _, who := range p.People {
		if who.Code == code {
			return who, true
		}
	}
	return Person{}, false
}

// Site gives the site of a code; false where there is none.
func (p *Programme) Site(code string) (Site, bool) {
	for _, s := range p.Sites {
		if s.Code == code {
			return s, true
		}
	}
	return Site{}, false
}

// Station gives the station of a code; false where there is none.
func (p *Programme) Station(code string) (Station, bool) {
	for _, s := range p.Stations {
		if s.Code == code {
			return s, true
		}
	}
	return Station{}, false
}
