package assembly

import (
	"fmt"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/rigfile"
)

// Unknown is the error for a name that nothing has, with the nearest that something has.
func Unknown(what, name string, known []string) error {
	if len(known) == 0 {
		return fmt.Errorf("no %s is named %s: there is none", what, quantity.Quote(name))
	}
	if best := rigfile.Nearest(name, known); best != "" {
		return fmt.Errorf("no %s is named %s; did you mean %s?", what, quantity.Quote(name), quantity.Quote(best))
	}
	const most = 8
	shown := make([]string, 0, most)
	for _, k := range known[:min(most, len(known))] {
		shown = append(shown, quantity.Quote(k))
	}
	more := ""
	if len(known) > most {
		more = fmt.Sprintf(" and %d more", len(known)-most)
	}
	return fmt.Errorf("no %s is named %s; there is %s%s", what, quantity.Quote(name), strings.Join(shown, ", "), more)
}
