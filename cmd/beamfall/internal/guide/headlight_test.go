package guide

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"beamfall/beam/headlight"
	"beamfall/geometry"
	"beamfall/geometry/sight"

	"gonum.org/v1/gonum/spatial/r3"
)

// The page on physics says of headlights what they give: flux and peak of each beam, and its
// intensity in every direction of the table, all to three digits.
func TestPhysicsPageHasTheHeadlights(t *testing.T) {
	beams := map[string]*headlight.Beam{
		"UN R149 low":    headlight.Low(headlight.UNR149, headlight.KeepRight),
		"UN R149 high":   headlight.High(headlight.UNR149),
		"FMVSS 108 low":  headlight.Low(headlight.FMVSS108, headlight.KeepRight),
		"FMVSS 108 high": headlight.High(headlight.FMVSS108),
	}
	number := func(cell string) float64 {
		t.Helper()
		cell = strings.TrimSuffix(strings.TrimSuffix(cell, " cd"), " lm")
		v, err := strconv.ParseFloat(strings.ReplaceAll(cell, " ", ""), 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	direction := regexp.MustCompile(`^([\d.]+)([UD]?) ([\d.]+)([LR]?)$`)
	totals, intensities := 0, 0
	_, page, _ := strings.Cut(topic(t, "physics").Markdown, "\n## Headlights\n")
	page, _, _ = strings.Cut(page, "\n## ")
	for line := range strings.Lines(page) {
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "| "), " | ")
		name, _, _ := strings.Cut(cells[0], ", class")
		b := beams[name]
		if b == nil || len(cells) != 4 {
			continue
		}
		d := direction.FindStringSubmatch(cells[1])
		if d == nil {
			totals++
			if lm := number(cells[1]); math.Abs(b.Flux()-lm) > 0.5 {
				t.Errorf("%s: %g lm on the page, %.1f computed", name, lm, b.Flux())
			}
			if cd := number(cells[2]); math.Abs(b.Peak()-cd) > 51 {
				t.Errorf("%s: peak %g cd on the page, %.0f computed", name, cd, b.Peak())
			}
			continue
		}
		intensities++
		v, h := number(d[1])*math.Pi/180, number(d[3])*math.Pi/180
		if d[2] == "D" {
			v = -v
		}
		if d[4] == "L" {
			h = -h
		}
		got := b.Candela(math.Cos(v)*math.Cos(h), -math.Cos(v)*math.Sin(h), math.Sin(v))
		if cd := number(cells[3]); math.Abs(got-cd) > max(0.5, 0.005*cd) {
			t.Errorf("%s, %s: %g cd on the page, %.1f computed", name, cells[1], cd, got)
		}
	}
	if totals != 4 || intensities < 35 {
		t.Errorf("%d beams and %d directions on the page", totals, intensities)
	}
}

// What the page says of how far a person is seen by a pair of them is what package sight says.
func TestPhysicsPageHasTheSightByHeadlights(t *testing.T) {
	_, page, _ := strings.Cut(topic(t, "physics").Markdown, "\n## Headlights\n")
	said := regexp.MustCompile(`seen (\d+) m away by a driver of 40 and (\d+) m by one\s+of 65 \(UN R149\), ` +
		`(\d+) m and (\d+) m \(FMVSS 108\)`).FindStringSubmatch(page)
	if said == nil {
		t.Fatal("the page does not say how far")
	}
	said = said[1:]
	for _, rule := range []headlight.Rule{headlight.UNR149, headlight.FMVSS108} {
		left := geometry.Lamp{
			At:     r3.Vec{X: -0.3, Y: 0.7, Z: 0.75},
			Optics: []geometry.Optic{{Beam: headlight.Low(rule, headlight.KeepRight)}},
		}
		right := left
		right.At.Y = -left.At.Y
		scene := new(geometry.Site).Scene(left, right)
		for _, age := range []float64{40, 65} {
			driver := sight.Usual
			driver.Age = age
			view := sight.Look(scene, r3.Vec{X: -2.1, Y: 0.4, Z: 1.65}, driver, sight.AtNight(0.2))
			got := view.Along(sight.Things()[0]).Sight([]int{0, 1}).Range
			if want, err := strconv.ParseFloat(said[0], 64); err != nil || math.Abs(got-want) > 0.75 {
				t.Errorf("%v, %g years: %s m on the page, %.1f computed", rule, age, said[0], got)
			}
			said = said[1:]
		}
	}
}
