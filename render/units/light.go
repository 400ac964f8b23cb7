package units

// Light: illuminance, intensity, flux.

// Light is an illuminance to two digits or whole lux: "0.25 lx", "9.9 lx", "1240 lx".
func Light(lux float64) string { return TwoDigits(lux) + " lx" }

// Candela is an intensity (cd) to three digits, in groups of three: "81 900 cd", "1 210 000 cd".
func Candela(cd float64) string { return grouped(cd, 3, "cd") }

// Lumens is a flux (lm) to four digits, in groups of three: "940 lm", "10 500 lm".
func Lumens(lm float64) string { return grouped(lm, 4, "lm") }

// Metered is an illuminance (lx) with as many digits as a light meter has, without the unit:
// "0.25", "10.1", "1240".
func Metered(lux float64) string {
	switch {
	case lux >= 99.95:
		return Fixed(lux, 0)
	case lux >= 9.995:
		return Fixed(lux, 1)
	case lux >= 0.005:
		return Fixed(lux, 2)
	}
	return "0"
}
