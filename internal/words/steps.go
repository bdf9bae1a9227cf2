package words

// How each task is done, what to look at first, and the usual cautions. A text
// of several lines is a list: Lines gives its points.
const (
	StepsSurvey      Key = "steps.survey-trees"
	StepsLookAtBuds  Key = "steps.look-at-buds"
	StepsCheckBags   Key = "steps.check-bags"
	StepsLotExpected Key = "steps.lot-expected"
	StepsReplaceBags Key = "steps.replace-bags"
	StepsSendKit     Key = "steps.send-kit"
	StepsBagOn       Key = "steps.bag-on"
	StepsTakeOff     Key = "steps.take-off"
	StepsLookAtSeed  Key = "steps.look-at-seed"
	StepsPickSeed    Key = "steps.pick-seed"
	StepsShortSeason Key = "steps.short-season"
	LookBuds         Key = "look.buds"
	LookSeed         Key = "look.seed"
	CautionsField    Key = "cautions.field"
	CautionsSeed     Key = "cautions.seed"
	RibbonOne        Key = "ribbon.one"
	RibbonOther      Key = "ribbon.other"
	SecondTripBuds   Key = "second-trip.buds"
)

// englishSteps is common practice, no source.
var englishSteps = Texts{
	StepsSurvey: `Go to each tree, with field glasses if you have some: male catkins have stood at the tips of the twigs since last summer, stiff, in ones to threes.
Count the catkins on one branch that could be bagged, and estimate how many the tree bears.
Make sure that the tree still stands, is sound, and carries its label.
Report tree by tree: catkins, with the number if you counted, or none this year.`,
	StepsLookAtBuds: `Look at several buds on each tree, in the sunny and the shaded part of the crown.
Closed: brown or dark, pointed, scales tight, as in winter.
Swollen: visibly thicker, scales moved apart, paler or greenish edges between them; no leaf tip yet.
Green tip: the bud is open and green leaf tips show. Bags are too late then.
Report what at least half of the trees show; one report is enough. No need to bring bags.`,
	StepsCheckBags: `Look at each bag from the ground first: is it whole, the window clear, the branch unbroken, the mouth tied?
Torn before flowering: replace it if you have a bag with you, and report the bags on the tree.
Torn later: leave it, tie a note to it, and report how many are torn. The seed is kept apart.
Wet inside or mouldy: turn the window downwards and let the water out without opening the mouth.
Report tree by tree: whole, torn (how many selfing, how many control), or off.`,
	StepsReplaceBags: `Take off only the torn bag, and look at the branch: broken twigs are cut away.
Slide a new bag over at once, window away from the sun and downwards, spacer inside, mouth tied tight, and label it as the old one.
A control branch must bear no catkin: remove those that you find.
Report all bags that are on the tree now, selfing and control.`,
	StepsLotExpected: `Check each packet against the list: the tree's code, selfing or control.
Never refuse seed, and never put selfing and control together: what matches no tree is kept under the code as it is written.
Report the packets as they arrive. If one doesn't come, ask the site lead when it was posted.`,
	StepsSendKit: `Pack isolation bags with a window, one spacer and one tie for each, and some spare ones.
Add weatherproof labels and a pencil, ribbon in both colours, and seed packets with the codes of the trees.
Put in a list of what is inside, so that it can be counted when it arrives.
Post it, and ask the site to report that it has arrived.`,
	StepsBagOn: `Choose branches with many catkins.
Work in twos: one holds the branch, the other slides the bag over.
Turn the window away from the sun and downwards, put the spacer inside, tie the mouth tight, label the bag.
Control: remove every catkin from the branch, then bag it in the same way.
Report selfing and control bags tree by tree.`,
	StepsTakeOff: `First remove the fertilised catkins just outside the mouth of the bag.
Mark where the mouth was with a ribbon: {selfing} for selfing, {control} for control.
Only then open the bag and take it off.
Report tree by tree which bags are off.`,
	StepsLookAtSeed: `Take packets along, and look at the catkins behind the ribbons, from the ground if you can.
Green and firm: report green, and leave them.
Brown and still holding together: pick them at once, selfing and control into packets of their own with the tree's code, and report these trees.
Falling apart when touched: pick at once what still holds, and report it.`,
	StepsPickSeed: `Pick catkins that are brown and not yet shedding, only behind the ribbons.
Selfing and control each go into a packet of their own; never mix them, not even of the same tree.
Write the code of the tree and selfing or control on the packet before you pick.
Seal the packet. Keep it dry and out of the sun, and post it soon.
Report the packets tree by tree, or that there was nothing to pick.`,
	StepsShortSeason: `Talk with the site lead: is a late trip for seed worth it, or are the bags of this year given up?
Tell the laboratory which lots may not come.
Answer that you have seen this. You hear again if the chance becomes good.`,
	LookBuds: `Look at each tree before you bag it.
Buds closed: bag it.
Green tips to be seen: stop, leave this tree for this year, and report green tips for it.`,
	LookSeed: `Look at each tree before you pick.
Catkins brown and holding together: pick them.
Catkins falling apart or gone: leave the tree, and report that there was nothing to pick.`,
	CautionsField: `Only people trained and allowed to do so work at height or with blades.
Go in twos. Don't go in wind, storm or ice.
Have the permission of the landowner, and of the authority where the area is protected.
Pollen of the trees: think of allergies. Check yourselves for ticks afterwards.
Local rules and your employer's safety instructions come before anything written here.`,
	CautionsSeed: `Seed that crosses a border needs what the authorities for plant health and forest reproductive material ask for. Ask them before you post it.`,
	RibbonOne:    "one colour",
	RibbonOther:  "another colour",
	SecondTripBuds: "A second trip may be needed. Trees with buds that are still quite small and hard: don't bag them now, " +
		"leave them for a second trip, and report which ones they are.",
}
