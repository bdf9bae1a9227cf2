package words

// finnishSteps is common practice, no source.
var finnishSteps = Texts{
	StepsSendKit: `Pakkaa ikkunallisia eristyspusseja, jokaiselle välike ja side, ja muutama varalle.
Lisää säänkestäviä nimilappuja ja lyijykynä, nauhaa molemmissa väreissä ja siemenpusseja, joissa on puiden koodit.
Laita mukaan luettelo sisällöstä, jotta sen voi tarkistaa perillä.
Postita paketti ja pyydä kohteesta ilmoitus, kun se on tullut.`,
	StepsBagOn: `Valitse oksia, joissa on paljon norkkoja.
Työskennelkää kahdestaan: toinen pitää oksaa, toinen pujottaa pussin.
Käännä ikkuna auringosta pois ja alaspäin, laita välike sisään, sido suu tiukasti, merkitse pussi.
Kontrolli: poista oksasta kaikki norkot ja pussita se sitten samalla tavalla.
Ilmoita itsepölytys- ja kontrollipussit puu kerrallaan.`,
	StepsTakeOff: `Poista ensin hedelmöittyneet norkot aivan pussin suun ulkopuolelta.
Merkitse suun paikka nauhalla: {selfing} itsepölytykselle, {control} kontrollille.
Avaa pussi ja ota se pois vasta sitten.
Ilmoita puu kerrallaan, mitkä pussit on otettu pois.`,
	StepsLookAtSeed: `Ota siemenpusseja mukaan ja katso norkkoja nauhojen takana, maasta käsin jos voit.
Vihreitä ja kiinteitä: ilmoita vihreä, ja jätä ne puuhun.
Ruskeita ja vielä koossa: kerää heti, itsepölytys ja kontrolli omiin siemenpusseihinsa puun koodilla, ja ilmoita nämä puut.
Hajoavat kosketettaessa: kerää heti se, mikä vielä pysyy koossa, ja ilmoita.`,
	StepsPickSeed: `Kerää norkkoja, jotka ovat ruskeita mutta eivät vielä varise, vain nauhojen takaa.
Itsepölytys ja kontrolli kumpikin omaan siemenpussiinsa; älä koskaan sekoita niitä, et edes saman puun.
Kirjoita siemenpussiin puun koodi ja itsepölytys tai kontrolli ennen kuin keräät.
Sulje siemenpussi. Pidä se kuivana ja poissa auringosta, ja postita se pian.
Ilmoita siemenpussit puu kerrallaan, tai että kerättävää ei ollut.`,
	StepsShortSeason: `Puhu kohteen vastuuhenkilön kanssa: kannattaako myöhäinen siemenmatka, vai jätetäänkö tämän vuoden pussit?
Kerro laboratoriolle, mitkä erät voivat jäädä tulematta.
Vastaa, että olet nähnyt tämän. Kuulet uudestaan, jos tilanne paranee.`,
	LookBuds: `Katso jokaista puuta ennen kuin pussitat sen.
Silmut kiinni: pussita.
Vihreitä kärkiä näkyy: seis, jätä tämä puu tältä vuodelta, ja ilmoita sen vihreät kärjet.`,
	LookSeed: `Katso jokaista puuta ennen kuin keräät.
Norkot ruskeita ja koossa: kerää ne.
Norkot hajoavat tai ovat poissa: jätä puu, ja ilmoita, että kerättävää ei ollut.`,
	CautionsField: `Korkealla ja terien kanssa työskentelevät vain ne, jotka on siihen koulutettu ja joilla on siihen lupa.
Menkää kahdestaan. Älkää menkö kovalla tuulella, myrskyssä tai jäisellä kelillä.
Tarvitset maanomistajan luvan, ja suojelualueella viranomaisen.
Puiden siitepöly: ajatelkaa allergioita. Tarkistakaa itsenne jälkeenpäin punkkien varalta.
Paikalliset säännöt ja työnantajan turvallisuusohjeet menevät kaiken tässä kirjoitetun edelle.`,
	CautionsSeed: `Rajan yli lähetettävä siemen tarvitsee sen, mitä kasvinterveydestä ja metsänviljelyaineistosta vastaavat viranomaiset vaativat. Kysy heiltä ennen kuin postitat.`,
	RibbonOne:    "yksi väri",
	RibbonOther:  "toinen väri",
	SecondTripBuds: "Toinen käynti voi olla tarpeen. Puut, joiden silmut ovat vielä aivan pieniä ja kovia: älä pussita niitä nyt, " +
		"jätä ne toiseen käyntiin, ja ilmoita, mitkä ne ovat.",

	StepsSurvey: `Käy jokaisen puun luona, kiikarin kanssa jos sinulla on: hedenorkot ovat olleet oksien kärjissä viime kesästä, jäykkinä, yhdestä kolmeen yhdessä.
Laske norkot yhdestä oksasta, jonka voisi pussittaa, ja arvioi, kuinka monta puussa on.
Varmista, että puu on pystyssä ja terve ja että sen nimilappu on paikallaan.
Ilmoita puu kerrallaan: norkkoja, ja määrä jos laskit, tai ei tänä vuonna.`,
	StepsLookAtBuds: `Katso jokaisesta puusta useita silmuja, latvuksen aurinkoisesta ja varjoisasta osasta.
Kiinni: ruskeita tai tummia, suippoja, suomut tiukasti kuin talvella.
Turvonneet: selvästi paksumpia, suomut erillään, niiden välissä vaaleampaa tai vihertävää; ei vielä lehdenkärkeä.
Vihreä kärki: silmu on auki ja vihreitä lehdenkärkiä näkyy. Silloin pussit ovat myöhässä.
Ilmoita, mitä vähintään puolet puista näyttää; yksi ilmoitus riittää. Pusseja ei tarvitse ottaa mukaan.`,
	StepsCheckBags: `Katso jokaista pussia ensin maasta: onko se ehjä, ikkuna kirkas, oksa katkeamaton, suu sidottu?
Repeytynyt ennen kukintaa: vaihda se, jos sinulla on pussi mukana, ja ilmoita puussa olevat pussit.
Repeytynyt myöhemmin: jätä se, sido siihen lappu, ja ilmoita, kuinka monta on repeytynyt. Siemen pidetään erillään.
Sisältä märkä tai homeessa: käännä ikkuna alaspäin ja päästä vesi pois avaamatta suuta.
Ilmoita puu kerrallaan: ehjät, repeytyneet (kuinka monta itsepölytystä, kuinka monta kontrollia) tai pois.`,
	StepsReplaceBags: `Ota pois vain repeytynyt pussi ja katso oksaa: katkenneet oksankärjet leikataan pois.
Pujota heti uusi pussi, ikkuna auringosta pois ja alaspäin, välike sisään, suu tiukasti sidottuna, ja merkitse se kuten vanha.
Kontrollioksassa ei saa olla norkkoja: poista ne, jotka löydät.
Ilmoita kaikki pussit, jotka puussa nyt on, itsepölytys ja kontrolli.`,
	StepsLotExpected: `Vertaa jokaista siemenpussia luetteloon: puun koodi, itsepölytys tai kontrolli.
Älä koskaan torju siementä, äläkä koskaan laita itsepölytystä ja kontrollia yhteen: mikä ei sovi mihinkään puuhun, säilytetään koodilla sellaisena kuin se on kirjoitettu.
Ilmoita siemenpussit sitä mukaa kuin ne tulevat. Jos jokin ei tule, kysy kohteen vastuuhenkilöltä, milloin se postitettiin.`,
}
