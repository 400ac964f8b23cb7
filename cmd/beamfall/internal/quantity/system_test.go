package quantity

import (
	"math"
	"testing"

	"beamfall/render/units"
)

// What is printed in feet and inches can be typed in again, and is off by no more than half the
// step.
func TestFeetAndInchesReadBack(t *testing.T) {
	for m := -3.0; m < 12; m += 0.0137 {
		for _, form := range []struct {
			text string
			step float64
		}{{units.Imperial.Length(m), units.Inch}, {units.Imperial.Mark(m), units.Inch / 4}} {
			got, err := ParseLength(form.text)
			if err != nil || math.Abs(got-m) > form.step/2+1e-12 {
				t.Errorf("%v m was written %q and read %v, %v", m, form.text, got, err)
			}
		}
	}
}

func TestParseSystem(t *testing.T) {
	for _, system := range []units.System{units.Metric, units.Imperial} {
		if got, err := ParseSystem(system.String()); err != nil || got != system {
			t.Errorf("%v was read as %v, %v", system, got, err)
		}
	}
	if _, err := ParseSystem("imperail"); err == nil ||
		err.Error() != `"imperail" is not a system of units; write "metric" or "imperial"` {
		t.Errorf("imperail: %v", err)
	}
}
