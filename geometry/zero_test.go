package geometry_test

import (
	"strings"
	"testing"

	"beamfall/geometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// The zero scene is dark, and lamps that no site has mounted are an error of who put them together,
// not 0 lx.
func TestScenesPutTogetherByHand(t *testing.T) {
	var dark geometry.Scene
	if dark.GroundLux(10, 0) != 0 || dark.FacingLux(10, 0, 0.6) != 0 || dark.Brightest().Lux != 0 {
		t.Error("the zero scene is lit")
	}
	defer func() {
		if text, _ := recover().(string); !strings.Contains(text, `"pod" is not mounted`) {
			t.Errorf("light of a lamp that is not mounted: %q", text)
		}
	}()
	pod := lamp(r3.Vec{Z: 1}, tilted(5), 0, isotropic(100))
	pod.Name = "pod"
	byHand := geometry.Scene{Site: new(geometry.Site), Lamps: []geometry.Mounted{{Lamp: pod}}}
	t.Errorf("%v lx", byHand.GroundLux(10, 0))
}
