package figures

import (
	"encoding/json"
	"math"
)

// How quantities are written in JSON. Everywhere else in the program they are in SI units and
// radians.

// None is the Number, Angle or Speed that does not exist.
func None() float64 { return math.NaN() }

// Number is a length, an illuminance or a share that need not exist: NaN and the infinities do not,
// and are null in JSON.
type Number float64

// Exists reports whether there is such a number.
func (n Number) Exists() bool { return !math.IsNaN(float64(n)) && !math.IsInf(float64(n), 0) }

// MarshalJSON writes the number as it is, or null.
func (n Number) MarshalJSON() ([]byte, error) {
	if !n.Exists() {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// Angle is an angle, rad. In JSON it is in degrees, right to 1e-9°, or null.
type Angle float64

// MarshalJSON writes degrees.
func (a Angle) MarshalJSON() ([]byte, error) { return Number(a.Degrees()).MarshalJSON() }

// Degrees is the angle in degrees without the dust of the conversion.
func (a Angle) Degrees() float64 { return math.Round(float64(a)*180/math.Pi*1e9)/1e9 + 0 }

// Speed is a speed, m/s. In JSON it is in km/h, or null.
type Speed float64

// Exists reports whether there is such a speed.
func (s Speed) Exists() bool { return Number(s).Exists() }

// MarshalJSON writes km/h.
func (s Speed) MarshalJSON() ([]byte, error) { return Number(s * 3.6).MarshalJSON() }
