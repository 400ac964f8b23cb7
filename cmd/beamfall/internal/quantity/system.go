package quantity

import (
	"fmt"
	"strings"

	"beamfall/render/units"
)

// ParseSystem reads "metric" or "imperial". The error is an *Error.
func ParseSystem(text string) (units.System, error) {
	for _, s := range []units.System{units.Metric, units.Imperial} {
		if strings.EqualFold(strings.TrimSpace(text), s.String()) {
			return s, nil
		}
	}
	return units.Metric, &Error{
		Problem: fmt.Sprintf("%s is not a system of units", Quote(text)),
		Remedy:  `write "metric" or "imperial"`,
	}
}
