package render

// What the sheet says, in the words of someone with a spanner in the other hand.

// sheetSteps are how to set the lamps.
func sheetSteps(s *Sheet) [5]string {
	ground := ""
	if s.GroundReading != "" {
		ground = " The readings allow for a meter that shows " + s.GroundReading + " when it lies on the ground."
	}
	return [5]string{
		"Set the tyres to the pressure you drive with, load the vehicle as noted below, and park it on level " +
			"ground, square to a wall, " +
			"the front bumper " + s.Wall + " from it.",
		"Mark the vehicle's centreline on the wall, then a cross of tape for each lamp: as high above the ground " +
			"and as far left (L) " +
			"or right (R) of the centreline, seen from the seat, as the table says.",
		"Read the meter on every lamp before you loosen anything and write that under “as found”: hold it on a " +
			"flat face that runs " +
			"along the beam; + is nose down. Loosen one bracket and turn the lamp until the meter shows what " +
			"it should." + ground,
		"With nobody in the beam, light this lamp alone: the middle of its bright spot belongs on its cross. If " +
			"meter and cross " +
			"disagree, check the ground and the distance first. A wide beam is brightest above its cross: trust " +
			"the meter.",
		"Tighten, read the meter again, write that under “as set”, tick the box. Set again after a knock or for " +
			"another load.",
	}
}

// sheetChecks are ticked before the sheet is signed.
var sheetChecks = [...]string{"all brackets tight", "lenses clean", "covers at hand for public roads"}

// sheetCautions are the cautions in full. The section of the vehicle code is one example of many
// such laws.
var sheetCautions = [...]string{
	"Off-road lamps are for off-road use: many places require them covered and off on public roads (California " +
		"Vehicle Code §24411 " +
		"is one example). Local law and licensed practice come first.",
	"Never look into a lit lamp. Set up with people out of the beam.",
	"Results are for flat diffuse ground, a clear lens and the ratings as given. A stopping distance is not a " +
		"safe speed.",
}
