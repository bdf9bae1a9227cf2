package words

// Links that open nothing any more.
const (
	RefusedWithdrawn   Key = "refused.withdrawn"
	RefusedWithdrawnDo Key = "refused.withdrawn-do"
)

var englishLinks = Texts{
	RefusedWithdrawn:   "This link was withdrawn",
	RefusedWithdrawnDo: "Whoever runs the programme has withdrawn your earlier links, as is done when a phone or a mail got lost. The link in the next mail works; until then, ring the coordinator.",
}
