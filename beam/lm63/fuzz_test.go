package lm63_test

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"beamfall/beam/lm63"
)

var placed = regexp.MustCompile(`^(line \d+: |LM-63: the file is larger)`)

// Whatever is read is refused with a line, or is light: finite, not below 0, not above its peak,
// dark beyond its cutoff, and the same in a batch.
func FuzzRead(f *testing.F) {
	samples, err := filepath.Glob("../../testdata/lm63/*.ies")
	if err != nil || len(samples) == 0 {
		f.Fatalf("no samples: %v", err)
	}
	for _, name := range samples {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	ahead, left, up := directions(300)
	for _, on := range []direction{{1}, {-1}, {0, 1}, {0, -1}, {0, 0, 1}, {0, 0, -1}} {
		ahead, left, up = append(ahead, on[0]), append(left, on[1]), append(up, on[2])
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		file, err := lm63.Read(bytes.NewReader(text))
		if err != nil {
			if !placed.MatchString(err.Error()) {
				t.Fatalf("error without a place: %v", err)
			}
			return
		}
		d := file.Distribution(1)
		peak, flux, cutoff := d.Peak(), d.Flux(), d.Cutoff()
		if !(peak > 0 && peak <= 1e10) {
			t.Fatalf("peak %g cd", peak)
		}
		if !(flux >= 0 && flux <= 4*math.Pi*peak*(1+1e-9)) {
			t.Fatalf("flux %g lm with a peak of %g cd", flux, peak)
		}
		if !(cutoff >= -1 && cutoff <= 1) {
			t.Fatalf("cutoff %g", cutoff)
		}
		if rated, absolute := file.RatedLumens(); absolute != (rated == 0) || math.IsNaN(rated) || rated < 0 {
			t.Fatalf("rated %g lm, absolute %v", rated, absolute)
		}
		cd := make([]float64, len(ahead))
		d.Candelas(cd, ahead, left, up)
		for i, got := range cd {
			if !(got >= 0 && got <= peak*(1+1e-12)) {
				t.Fatalf("%g cd with a peak of %g", got, peak)
			}
			if got > 0 && ahead[i] < cutoff {
				t.Fatalf("%g cd at ahead %g, beyond the cutoff %g", got, ahead[i], cutoff)
			}
			if want := d.Candela(ahead[i], left[i], up[i]); got != want {
				t.Fatalf("%g cd in the batch, %g alone", got, want)
			}
		}
	})
}
