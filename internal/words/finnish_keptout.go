package words

var finnishKeptOut = Texts{
	KeptOutNotPicture: "se ei ole JPEG-, PNG- eikä WebP-kuva",
	KeptOutTooLarge:   "se on liian suuri: lähetä se pienempänä",
	KeptOutDamaged:    "se on vioittunut: lähetä se uudelleen",
	KeptOutKeepsPlace: "kuvauspaikkaa ei voi poistaa siitä: valitse kamerasta JPEG tai lähetä kuvakaappaus",
	KeptOutProgram:    "ohjelmia ja paketteja ei avata: lähetä kuvat sellaisinaan",
	KeptOutWinmail:    "se on muodossa, jota vain yksi sähköpostiohjelma lukee (winmail.dat): lähetä pelkkää tekstiä tai kuvat sellaisinaan",
	KeptOutMailInside: "se on viesti viestin sisällä: lähetä sen sisältö erikseen",
	KeptOutTooMany:    "niitä on liikaa yhdessä viestissä: lähetä loput toisessa",
}
