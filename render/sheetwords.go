package render

// What the sheet says, in the words of someone with a spanner in the other hand.

// sheetSteps are how to set the lamps: the wall's distance from the bumper, and what the readings allow for (may be empty).
func sheetSteps(wall, ground string) [5]string {
	if ground != "" {
		ground = " The readings allow for a meter that shows " + ground + " when it lies on the ground."
	}
	return [5]string{
		"Set the tyres to the pressure you drive with, load the vehicle as noted below, and park it on level ground, square to a wall, " +
			"the front bumper " + wall + " from it.",
		"Mark the vehicle's centreline on the wall. Then mark a cross of tape for each lamp: so high above the ground and so far left " +
			"or right of the centreline as the table says.",
		"Loosen one bracket. Hold the tilt meter on a flat face of the lamp that runs along its beam, and turn the lamp until the meter " +
			"shows the reading; + is nose down." + ground,
		"With nobody in the beam, light this lamp alone: the middle of its bright spot belongs on its cross. If meter and cross " +
			"disagree, check the ground and the distance first. A wide beam is brightest above its cross: trust the meter.",
		"Tighten, read the meter again, write that under “as set”, tick the box. Set again after a knock or for another load.",
	}
}

// sheetChecks are ticked before the sheet is signed.
var sheetChecks = [...]string{"all brackets tight", "lenses clean", "covers at hand for public roads"}

// sheetCautions are the cautions in full. The section of the vehicle code is one example of many such laws.
var sheetCautions = [...]string{
	"Off-road lamps are for off-road use: many places require them covered and off on public roads (California Vehicle Code §24411 " +
		"is one example). Local law and licensed practice come first.",
	"Never look into a lit lamp. Set up with people out of the beam.",
	"Results are for flat diffuse ground, a clear lens and the ratings as given. A stopping distance is not a safe speed.",
}

// sheetBlanks are what is filled in by hand, in two rows.
var sheetBlanks = [2][3]string{
	{"date", "place", "signature"},
	{"tyre pressure, front", "tyre pressure, rear", "load"},
}
