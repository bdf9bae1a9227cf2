package sheet

import "budcall/internal/trail"

// forms is the columns of every kind. Beside a column's own name its cells may
// stand under the names that are listed, in English, Finnish and Swedish; a
// unit that could be misread must be among them.
var forms = map[Kind]form{
	People:  {key: []string{"code"}, partial: true, columns: peopleColumns},
	Sites:   {key: []string{"code"}, partial: true, columns: siteColumns},
	Trees:   {key: []string{"code"}, columns: treeColumns},
	Bags:    {key: []string{"code"}, columns: bagColumns},
	Lots:    {key: []string{"code"}, columns: lotColumns},
	Reports: {key: []string{"site", "tree", "day", "kind", "bbch", "on", "person"}, columns: reportColumns},
}

var peopleColumns = []column{
	{"code", []string{"person", "tunnus", "koodi", "kod"}, personCode, true},
	{"name", []string{"nimi", "namn"}, line, true},
	{"email", []string{"mail", "mailaddress", "emailaddress", "sahkoposti", "epost"}, mailAddress, true},
	{"phone", []string{"telephone", "phonenumber", "puhelin", "puhelinnumero", "telefon", "telefonnummer"}, phone, false},
	{"zone", []string{"timezone", "aikavyohyke", "tidszon"}, line, false},
	{"lang", []string{"language", "kieli", "sprak"}, line, false},
	{"can_go", []string{"days", "weekdays", "viikonpaivat", "veckodagar"}, weekdays, false},
	{"role", []string{"rooli", "tehtava", "roll"}, line, false},
}

var siteColumns = []column{
	{"code", []string{"site", "sitecode", "tunnus", "koodi", "kod", "paikka", "plats"}, placeCode, true},
	{"name", []string{"sitename", "nimi", "namn"}, line, true},
	{"lat_deg", []string{"lat", "latitude", "pohjoinenleveys", "leveysaste", "latitud", "breddgrad"}, latitude, true},
	{"lon_deg", []string{"lon", "lng", "long", "longitude", "itainenpituus", "pituusaste", "longitud", "langdgrad"}, longitude, true},
	{"altitude_m", []string{"altitudem", "elevationm", "korkeusm", "korkeusmmpy", "hojdm", "hojdmoh"}, altitude, true},
	{"zone", []string{"timezone", "aikavyohyke", "tidszon"}, line, false},
	{"profile", []string{"profiili", "profil"}, line, true},
	{"stations", []string{"station", "asemat", "saaasemat", "stationer", "vaderstationer"}, placeCodes, true},
	{"forecast", []string{"ennuste", "prognos"}, line, false},
	{"lead", []string{"sitelead", "vetaja", "ledare"}, personCode, true},
	{"deputy", []string{"sitedeputy", "varahenkilo", "stallforetradare"}, personCode, false},
}

var treeColumns = []column{
	{"code", []string{"tree", "treecode", "tunnus", "koodi", "puu", "kod", "trad"}, treeCode, true},
	{"site", []string{"sitecode", "kohde", "kohteentunnus", "paikka", "lokal", "plats"}, placeCode, true},
	{"short", []string{"shortname", "lyhyt", "lyhytnimi", "kort", "kortnamn"}, shortName, true},
	{"gone", []string{"poissa", "borta"}, flag, false},
}

// Bags and lots are what reports and the laboratory's book make of them, so
// their columns are those of an export; a table of them can be held against it.
var bagColumns = []column{
	{"code", []string{"bag", "bagcode", "pussi", "pase"}, freeCode, true},
	{"site", []string{"sitecode", "kohde", "kohteentunnus", "paikka", "lokal", "plats"}, placeCode, false},
	{"tree", []string{"treecode", "puu", "puuntunnus", "trad"}, treeCode, true},
	{"kind", []string{"laji", "slag"}, choice(string(trail.Selfing), string(trail.Control)), true},
	{"state", []string{"tila", "tillstand"}, line, false},
	{"on", []string{"puton", "laitettu", "pasatt"}, day, false},
	{"doubtful_since", []string{"doubtful", "epavarma", "osaker"}, day, false},
	{"doubt", []string{"syy", "skal"}, line, false},
	{"off", []string{"takenoff", "otettu", "avtagen"}, day, false},
}

var lotColumns = []column{
	{"code", []string{"lot", "lotcode", "era", "parti"}, freeCode, true},
	{"site", []string{"sitecode", "kohde", "kohteentunnus", "paikka", "lokal", "plats"}, placeCode, false},
	{"tree", []string{"treecode", "puu", "puuntunnus", "trad"}, treeCode, true},
	{"kind", []string{"laji", "slag"}, choice(string(trail.Selfing), string(trail.Control)), true},
	{"state", []string{"tila", "tillstand"}, line, false},
	{"bags", []string{"pussit", "pasar"}, freeCodes, false},
	{"packets", []string{"paketit", "paket"}, count(999, "packets"), false},
	{"picked", []string{"keratty", "plockad"}, day, false},
	{"expected", []string{"odotettu", "vantad"}, day, false},
	{"came", []string{"arrived", "tullut", "ankomna"}, count(999, "packets"), false},
	{"received", []string{"saapunut", "mottagen"}, day, false},
	{"condition", []string{"kunto", "skick"}, note, false},
}

var reportColumns = []column{
	{"site", []string{"sitecode", "kohde", "kohteentunnus", "paikka", "lokal", "plats"}, placeCode, true},
	{"day", []string{"date", "paiva", "pvm", "dag", "datum"}, day, true},
	{"kind", []string{"report", "laji", "slag"}, choice(reportKinds...), true},
	{"person", []string{"by", "henkilo"}, personCode, true},
	{"tree", []string{"puu", "trad"}, shortName, false},
	{"bbch", []string{"stage", "vaihe", "stadium"}, count(99, "a BBCH code"), false},
	{"selfing", []string{"selfingbags", "itsepolytys", "sjalvning"}, count(99, "bags or packets"), false},
	{"control", []string{"controlbags", "verrokki", "kontroll"}, count(99, "bags or packets"), false},
	{"count", []string{"catkins", "norkot", "hangen"}, count(100000, "catkins"), false},
	{"on", []string{"from", "alkaen", "fran"}, day, false},
	{"until", []string{"to", "asti", "till"}, day, false},
	{"call", []string{"task", "kutsu"}, line, false},
	{"note", []string{"remark", "huomautus", "anmarkning"}, note, false},
}
