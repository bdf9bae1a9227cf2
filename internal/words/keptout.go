package words

// Why an attachment was left out, each under the word that the memory has for it.
const (
	KeptOutNotPicture Key = "kept-out.no picture"
	KeptOutTooLarge   Key = "kept-out.too large"
	KeptOutDamaged    Key = "kept-out.damaged"
	KeptOutKeepsPlace Key = "kept-out.its position can't be taken out"
	KeptOutProgram    Key = "kept-out.a program or an archive"
	KeptOutWinmail    Key = "kept-out.winmail.dat"
	KeptOutMailInside Key = "kept-out.a mail inside a mail"
	KeptOutTooMany    Key = "kept-out.too many"
)

var englishKeptOut = Texts{
	KeptOutNotPicture: "it is no JPEG, PNG or WebP picture",
	KeptOutTooLarge:   "it is too large: send it smaller",
	KeptOutDamaged:    "it is damaged: send it again",
	KeptOutKeepsPlace: "the place where it was taken can't be removed from it: set the camera to JPEG, or send a screenshot of it",
	KeptOutProgram:    "programs and archives aren't opened: send the pictures themselves",
	KeptOutWinmail:    "it is in a form that only one mail program reads (winmail.dat): send plain text, or the pictures themselves",
	KeptOutMailInside: "it is a mail inside a mail: send what is in it by itself",
	KeptOutTooMany:    "there are too many in one mail: send the rest in another",
}
