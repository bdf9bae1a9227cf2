package words

// swedishSteps is common practice, no source.
var swedishSteps = Texts{
	StepsSendKit: `Packa isoleringspåsar med fönster, en distans och ett band till var och en, och några extra.
Lägg till väderbeständiga etiketter och en blyertspenna, märkband i båda färgerna och fröpåsar med trädens koder.
Lägg i en lista över innehållet, så att det kan räknas när det kommer fram.
Posta det, och be platsen rapportera när det har kommit.`,
	StepsBagOn: `Välj grenar med många hängen.
Arbeta två och två: en håller grenen, den andra trär på påsen.
Vänd fönstret från solen och nedåt, sätt distansen inuti, knyt mynningen tätt, märk påsen.
Kontroll: ta bort vartenda hänge från grenen och sätt sedan på påsen på samma sätt.
Rapportera självnings- och kontrollpåsar träd för träd.`,
	StepsTakeOff: `Ta först bort de befruktade hängena strax utanför påsens mynning.
Märk ut var mynningen satt med ett band: {selfing} för självning, {control} för kontroll.
Öppna påsen och ta ner den först därefter.
Rapportera träd för träd vilka påsar som är nere.`,
	StepsLookAtSeed: `Ta med fröpåsar och titta på hängena bakom banden, från marken om du kan.
Gröna och fasta: rapportera grönt, och låt dem vara.
Bruna och ännu hela: plocka dem genast, självning och kontroll i var sin fröpåse med trädets kod, och rapportera dessa träd.
Faller isär vid beröring: plocka genast det som ännu håller ihop, och rapportera det.`,
	StepsPickSeed: `Plocka hängen som är bruna men ännu inte faller isär, bara bakom banden.
Självning och kontroll i var sin fröpåse; blanda dem aldrig, inte ens från samma träd.
Skriv trädets kod och självning eller kontroll på fröpåsen innan du plockar.
Förslut fröpåsen. Håll den torr och borta från solen, och posta den snart.
Rapportera fröpåsarna träd för träd, eller att det inte fanns något att plocka.`,
	StepsShortSeason: `Tala med den platsansvariga: är en sen resa för frö värd besväret, eller ges årets påsar upp?
Tala om för laboratoriet vilka partier som kanske inte kommer.
Svara att du har sett detta. Du hör igen om utsikterna blir goda.`,
	LookBuds: `Titta på varje träd innan du sätter på påsar.
Slutna knoppar: sätt på påsar.
Gröna spetsar syns: stanna, lämna trädet för i år, och rapportera gröna spetsar för det.`,
	LookSeed: `Titta på varje träd innan du plockar.
Hängena är bruna och håller ihop: plocka dem.
Hängena faller isär eller är borta: lämna trädet, och rapportera att det inte fanns något att plocka.`,
	CautionsField: `Bara den som är utbildad för det och får göra det arbetar på höjd eller med eggverktyg.
Gå två och två. Gå inte i blåst, storm eller ishalka.
Ha markägarens tillstånd, och myndighetens där området är skyddat.
Trädens pollen: tänk på allergier. Kontrollera er för fästingar efteråt.
Lokala regler och arbetsgivarens säkerhetsanvisningar går före allt som står här.`,
	CautionsSeed: `Frö som passerar en gräns behöver det som myndigheterna för växtskydd och skogsodlingsmaterial kräver. Fråga dem innan du postar det.`,
	RibbonOne:    "en färg",
	RibbonOther:  "en annan färg",
	SecondTripBuds: "En andra resa kan behövas. Träd vars knoppar ännu är helt små och hårda: sätt inte på påsar nu, " +
		"lämna dem till en andra resa, och rapportera vilka de är.",

	StepsSurvey: `Gå till varje träd, med kikare om du har en: hanhängena har suttit i kvistspetsarna sedan i somras, styva, ett till tre tillsammans.
Räkna hängena på en gren som kunde få en påse, och uppskatta hur många trädet bär.
Förvissa dig om att trädet står kvar, är friskt och har sin etikett.
Rapportera träd för träd: hängen, med antalet om du räknade, eller inga i år.`,
	StepsLookAtBuds: `Titta på flera knoppar på varje träd, i den soliga och den skuggade delen av kronan.
Slutna: bruna eller mörka, spetsiga, fjällen täta som på vintern.
Svällda: tydligt tjockare, fjällen isär, ljusare eller grönaktiga kanter mellan dem; ingen bladspets ännu.
Grön spets: knoppen är öppen och gröna bladspetsar syns. Då är det för sent för påsar.
Rapportera vad minst hälften av träden visar; en rapport räcker. Påsar behöver inte tas med.`,
	StepsCheckBags: `Titta på varje påse från marken först: är den hel, fönstret klart, grenen obruten, mynningen knuten?
Trasig före blomningen: byt den om du har en påse med dig, och rapportera påsarna på trädet.
Trasig senare: lämna den, knyt en lapp vid den, och rapportera hur många som är trasiga. Fröet hålls för sig.
Våt inuti eller möglig: vänd fönstret nedåt och släpp ut vattnet utan att öppna mynningen.
Rapportera träd för träd: hela, trasiga (hur många självning, hur många kontroll) eller av.`,
	StepsReplaceBags: `Ta bara ner den trasiga påsen, och titta på grenen: brutna kvistar skärs bort.
Trä genast på en ny påse, fönstret från solen och nedåt, distansen inuti, mynningen tätt knuten, och märk den som den gamla.
En kontrollgren får inte bära något hänge: ta bort dem du hittar.
Rapportera alla påsar som nu sitter på trädet, självning och kontroll.`,
	StepsLotExpected: `Jämför varje fröpåse med listan: trädets kod, självning eller kontroll.
Avvisa aldrig frö, och lägg aldrig självning och kontroll tillsammans: det som inte stämmer med något träd bevaras under koden som den är skriven.
Rapportera fröpåsarna när de kommer. Om någon inte kommer, fråga den platsansvariga när den postades.`,
}
