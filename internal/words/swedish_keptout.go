package words

var swedishKeptOut = Texts{
	KeptOutNotPicture: "det är ingen JPEG-, PNG- eller WebP-bild",
	KeptOutTooLarge:   "den är för stor: skicka den mindre",
	KeptOutDamaged:    "den är skadad: skicka den igen",
	KeptOutKeepsPlace: "platsen där den togs kan inte tas bort ur den: ställ kameran på JPEG, eller skicka en skärmbild av den",
	KeptOutProgram:    "program och arkiv öppnas inte: skicka själva bilderna",
	KeptOutWinmail:    "den är i en form som bara ett e-postprogram läser (winmail.dat): skicka vanlig text, eller själva bilderna",
	KeptOutMailInside: "det är ett brev i ett brev: skicka det som finns i det för sig",
	KeptOutTooMany:    "det är för många i ett brev: skicka resten i ett till",
}
