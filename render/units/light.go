package units

// Light, in lux.

// Light is an illuminance to two digits or whole lux: "0.25 lx", "9.9 lx", "1240 lx".
func Light(lux float64) string { return TwoDigits(lux) + " lx" }

// Metered is an illuminance (lx) with as many digits as a light meter has, without the unit: "0.25", "10.1", "1240".
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
