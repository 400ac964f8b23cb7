package htmlpage

import (
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/rigfile"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry/sight"
	"beamfall/render/units"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// A small rig, whose names are as hostile as names can be.
const small = `
name = "</script><img src=x onerror=alert(1)>"
[vehicle]
length = "5 m"
width = "1.9 m"
eye = { ahead = "-2.1 m", left = "0.4 m", up = "1.65 m" }
[[vehicle.body]]
name = "<b>hood</b>"
ahead = ["-1.5 m", "-0.2 m"]
left = ["-0.8 m", "0.8 m"]
up = ["0.5 m", "1.15 m"]
[[lamp]]
name = "<script>alert(2)</script> bar"
circuit = "roof & \"'"
at = { ahead = "-1.9 m", left = "0 m", up = "2 m" }
width = "1 m"
tilt = "4 deg"
tilt_range = ["2 deg", "6 deg"]
tilt_step = "2 deg"
lumens = 8000
output = 0.7
spread = "12 deg"
[[lamp]]
name = "--><svg onload=alert(3)>"
circuit = "bumper"
at = { ahead = "0 m", left = "0.5 m", up = "0.8 m" }
pair = true
tilt = "0.7 deg"
tilt_range = ["0 deg", "2 deg"]
tilt_step = "1 deg"
lumens = 3000
output = 0.7
spread = "20 deg"
[[scene]]
name = "both <i>"
circuits = ["roof & \"'", "bumper"]
[[scene]]
name = "low"
circuits = ["bumper"]
`

func assembled(t *testing.T, text, name string) *assembly.Rig {
	t.Helper()
	file, err := rigfile.Read(strings.NewReader(text), name)
	if err != nil {
		t.Fatal(err)
	}
	r, err := assembly.Assemble(file, func(string) (io.ReadCloser, error) { return nil, os.ErrNotExist })
	if err != nil {
		t.Fatal(err)
	}
	return r
}

var asked = figures.Options{Wall: 7.62, Tolerance: 0.5 * degree, Thresholds: []float64{1, 3}, SightLux: 3, Traffic: 1}

func written(t *testing.T, r *assembly.Rig) []byte {
	t.Helper()
	page, err := Write(context.Background(), r,
		Options{Figures: asked, Caution: "Off-road use only.", File: r.File.Source}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return page
}

// ofSmall is the page of the small rig, worked out once.
func ofSmall(t *testing.T) []byte {
	t.Helper()
	if smallPage == nil {
		smallPage = written(t, assembled(t, small, "small.toml"))
	}
	return smallPage
}

var smallPage []byte

// What stands in the page beside its data is ours, whatever a rig is called.
func TestNamesAreNoMarkup(t *testing.T) {
	page := string(ofSmall(t))
	before, rest, _ := strings.Cut(page, `<script id="data" type="application/octet-stream">`)
	data, after, found := strings.Cut(rest, "</script>")
	if _, err := base64.StdEncoding.DecodeString(data); !found || err != nil {
		t.Error("the data are not base64 alone")
	}
	for _, name := range []string{"alert(", "hood", "<svg", "onerror"} {
		if strings.Contains(before, name) || strings.Contains(after, name) {
			t.Errorf("%q of the rig stands in the page as it is", name)
		}
	}
	const policy = `"Content-Security-Policy" content="default-src 'none'; script-src 'sha256-`
	if strings.Count(page, policy) != 1 {
		t.Error("the page has no policy that lets in nothing from outside")
	}
}

// The rounding of numbers stays within what is said of it.
func TestSteps(t *testing.T) {
	for _, s := range []struct {
		steps
		within float64
	}{{lightSteps, 0.0042}, {sightSteps, 0.0013}} {
		for v := s.Least; v < 1e5; v *= 1.0713 {
			back := s.Least * math.Exp(float64(s.of(v)-1)/s.Fine)
			if math.Abs(back/v-1) > s.within {
				t.Errorf("%g comes back as %g", v, back)
			}
		}
		if s.of(0) != 0 || s.of(s.Least/2) != 0 || s.of(math.NaN()) != 0 {
			t.Error("what does not count has a step")
		}
	}
}

// Steps of tilts: those of the range, and the tilt that the rig has, wherever it is.
func TestTilts(t *testing.T) {
	tilts := allTilts(assembled(t, small, ""), []int{0, 1})
	for i, want := range [][]float64{{2, 4, 6}, {0, 0.7, 1, 2}} {
		var got []float64
		for _, a := range tilts[i].at {
			got = append(got, assembly.Degrees(a))
		}
		if !slices.Equal(got, want) || tilts[i].present != 1 {
			t.Errorf("lamp %d has %v, of which it is at %d; want %v, 1", i+1, got, tilts[i].present, want)
		}
	}
}

// A page of many lamps leaves steps out, but none of a lamp's ends, nor the tilt that it has.
func TestManyTilts(t *testing.T) {
	text := strings.Builder{}
	for i := range 60 {
		fmt.Fprintf(&text, `
[[lamp]]
name = "%d"
at = { ahead = "0 m", left = "0 m", up = "1 m" }
lumens = 100
output = 1
spread = "20 deg"
`, i)
	}
	r := assembled(t, text.String(), "")
	entries, sum := make([]int, 60), 0
	for i := range entries {
		entries[i] = i
	}
	for _, tilts := range allTilts(r, entries) {
		sum += len(tilts.at)
		if !tilts.thinned {
			t.Fatal("steps are left out, and it is not said")
		}
		if len(tilts.at) < leastTilts || tilts.at[tilts.present] != 0 {
			t.Fatalf("a lamp has %d steps, and is at %g", len(tilts.at), tilts.at[tilts.present])
		}
	}
	if sum > 60*(leastTilts+1) {
		t.Errorf("%d steps in all", sum)
	}
}

// setting is what a page is asked to show.
type setting struct {
	Tilts    []float64 `json:"tilts"`
	Circuits []int     `json:"circuits"`
	Nodes    []int     `json:"nodes"` // numbers of places of the grid
}

// address is the setting as the page has it in its own.
func (s setting) address() string {
	join := func(values any, between string) string {
		return strings.Trim(strings.ReplaceAll(fmt.Sprint(values), " ", between), "[]")
	}
	return "#tilts=" + join(s.Tilts, "_") + "&on=" + join(s.Circuits, ".")
}

// shown is what the page makes of a setting.
type shown struct {
	X, Y           []float64
	Ground, Facing []float64
	Range          []*float64
	Speed          []*float64
	Reach          []*float64
	Lost           [][][2]float64
	Tops           []float64
	Eye            float64
	Tables         [][][]string
	Answer         string
}

const tryOut = `(nodes => {
  const { rig, s, shown } = page, ny = rig.grid.y.length, light = lightOf(rig, s);
  const at = (surface) => nodes.map((n) => page.light.at(surface, light, n));
  const number = (v) => Number.isFinite(v) ? v : null;
  return {
    X: nodes.map((n) => rig.grid.x[Math.floor(n / ny)]), Y: nodes.map((n) => rig.grid.y[n % ny]),
    Ground: at('ground'), Facing: at('facing'),
    Range: shown.seen.map((x) => number(x.range)), Lost: shown.seen.map((x) => x.lost),
    Speed: shown.seen.map((x) => number(speedWithin(rig, x.range))),
    Reach: shown.reach.map(number), Tops: shown.tops, Eye: shown.eye,
    Tables: [...document.querySelectorAll('#tables table')].map((t) =>
      [...t.querySelectorAll('tbody tr:not(.was)')].map((r) => [...r.cells].map((c) => c.textContent))),
    Answer: byId('answer').textContent,
  };
})`

// The page's figures are those of the core, at settings taken at random: the small rig at a few,
// the demo at a hundred where -browser asks for it.
func TestFigures(t *testing.T) {
	r, n, page := assembled(t, small, "small.toml"), 2, []byte(nil)
	if !*thorough {
		page = ofSmall(t)
	} else {
		demo, err := os.ReadFile("../../demo.toml")
		if err != nil {
			t.Fatal(err)
		}
		r, n = assembled(t, string(demo), "demo.toml"), 100
		page = written(t, r)
	}
	tab := open(t, page, 1280, 800, "")
	type control struct {
		Tilts []float64
		Lamps []struct{ Key int }
	}
	controls := ask[[]control](tab, `page.rig.controls.map(
		(c) => ({ Tilts: c.tilts, Lamps: c.lamps.map((l) => ({ Key: l.key })) }))`)
	circuits := ask[[]string](tab, `page.rig.circuits.map((c) => c.name)`)
	places := ask[int](tab, `page.rig.grid.x.length * page.rig.grid.y.length`)
	var entries []int
	for i := range r.File.Lamps {
		entries = append(entries, i)
	}
	tilts := allTilts(r, entries)
	random := rand.New(rand.NewPCG(1, 2))
	var worst struct{ lux, sight float64 }
	for range n {
		var s setting
		r := *r
		r.Lamps = slices.Clone(r.Lamps)
		for i, c := range controls {
			k := random.IntN(len(c.Tilts))
			s.Tilts = append(s.Tilts, c.Tilts[k])
			for _, l := range c.Lamps {
				r.Lamps[l.Key-1].Aim.Tilt = tilts[i].at[k]
			}
		}
		for i := range circuits {
			if random.IntN(3) > 0 {
				s.Circuits = append(s.Circuits, i)
			}
		}
		var lit assembly.Scene
		for k, l := range r.Lamps {
			if slices.ContainsFunc(s.Circuits, func(c int) bool { return circuits[c] == l.Circuit }) {
				lit.Lamps = append(lit.Lamps, k)
			}
		}
		for range 20 {
			s.Nodes = append(s.Nodes, random.IntN(places))
		}
		nodes, err := json.Marshal(s.Nodes)
		if err != nil {
			t.Fatal(err)
		}
		got := ask[shown](tab, fmt.Sprintf("(page.open(%q), %s(%s))", s.address(), tryOut, nodes))
		t.Run(s.address(), func(t *testing.T) {
			scene := r.Lit(lit)
			for i := range got.X {
				for what, lux := range map[string][2]float64{
					"ground": {got.Ground[i], scene.GroundLux(got.X[i], got.Y[i])},
					"facing": {got.Facing[i], scene.FacingLux(got.X[i], got.Y[i], 0.6)},
				} {
					off := math.Abs(lux[0] - lux[1])
					if off > 0.02*lux[1]+1e-3 {
						t.Errorf("%s at %g, %g: %g lx, want %g", what, got.X[i], got.Y[i], lux[0], lux[1])
					}
					if lux[1] > 0.01 {
						worst.lux = max(worst.lux, off/lux[1])
					}
				}
			}
			view := figures.Look(&r, scene)
			every := make([]int, len(scene.Lamps))
			for i := range every {
				every[i] = i
			}
			for i, thing := range r.Things {
				want := view.Along(thing).Sight(every)
				if !agrees(got.Range[i], want.Range) {
					t.Errorf("%s: seen out to %s, want %g", thing.Name, inMetres(got.Range[i]), want.Range)
				}
				if got.Range[i] == nil {
					continue
				}
				worst.sight = max(worst.sight, math.Abs(*got.Range[i]/want.Range-1))
				if speed := r.Braking.Speed(*got.Range[i]); math.Abs(*got.Speed[i]-speed) > 0.02 {
					t.Errorf("%s: stops from %g m/s, want %g", thing.Name, *got.Speed[i], speed)
				}
			}
			line := scene.Centreline(1)
			for i, level := range []float64{1, 3} {
				want := line.Reach(level)
				if !agrees(got.Reach[i], want) {
					t.Errorf("%g lx out to %s, want %g", level, inMetres(got.Reach[i]), want)
				}
			}
			if len(got.Tops) > 0 {
				if want := scene.BodyLight(0).Mean; math.Abs(got.Tops[0]-want) > 1e-4*want {
					t.Errorf("%g lx on the hood, want %g", got.Tops[0], want)
				}
			}
			r.Scenes = nil
			p, err := figures.PlanOf(context.Background(), &r, asked, nil)
			if err != nil {
				t.Fatal(err)
			}
			for i, want := range []*table.Table{report.Setting(r.System(), p), report.GivesEach(r.System(), p)} {
				if fmt.Sprint(got.Tables[i]) != fmt.Sprint(want.Rows) {
					t.Errorf("the table %q is\n%v, want\n%v", want.Title, got.Tables[i], want.Rows)
				}
			}
		})
	}
	t.Logf("at worst, lux are off by %.2g %%, sight ranges by %.2g %%", 100*worst.lux, 100*worst.sight)
	tab.close()
}

// Air with particles, on a bend, over a crest: what is seen is what the core says, in that air and
// in clear air.
func TestAirs(t *testing.T) {
	const dusty = `
[vehicle]
eye = { ahead = "-2 m", left = "0.4 m", up = "1.6 m" }
[[lamp]]
name = "one"
at = { ahead = "0 m", left = "0 m", up = "1 m" }
tilt = "1 deg"
tilt_range = ["1 deg", "2 deg"]
tilt_step = "1 deg"
lumens = 5000
output = 1
spread = "25 deg"
[air]
visibility = "150 m"
particles = "dust"
[track]
bend = "80 m right"
from = "20 m"
[ground]
profile = [["0 m", "0 m"], ["35 m", "1 m"], ["60 m", "-1 m"]]
`
	r := assembled(t, dusty, "")
	tab := open(t, written(t, r), 800, 600, "")
	for i, air := range airs(r) {
		view := figures.Look(air.rig, air.rig.Lit(air.rig.Scenes[0]))
		got := ask[shown](tab, fmt.Sprintf("(page.open('#air=%d'), %s([]))", i, tryOut))
		for k, thing := range r.Things {
			want := view.Along(thing).Sight([]int{0}).Range
			if !agrees(got.Range[k], want) {
				t.Errorf("%s, %s: %s, want %.1f m", air.Name, thing.Name, inMetres(got.Range[k]), want)
			}
		}
	}
	tab.close()
}

// agrees tells whether a distance of the page's is that of the core to 2 % or a metre, or neither
// is one.
func agrees(got *float64, want float64) bool {
	if got == nil {
		return math.IsNaN(want)
	}
	return math.Abs(*got-want) <= max(1, 0.02*want)
}

func inMetres(v *float64) string {
	if v == nil {
		return "none"
	}
	return fmt.Sprintf("%.1f m", *v)
}

// The small rig's page on a phone: it fits, speaks as the libraries do, and goes by keys alone.
func TestPhone(t *testing.T) {
	tab := open(t, ofSmall(t), 360, 740, "")
	tab.fits()
	tab.speaks()
	tab.goesByKeys()
	tab.close()
}

// On a phone nothing sticks out to the side, hostile names included, and what is to be touched is
// large enough (WCAG 2.2, 2.5.8 asks for 24 px; 44 px is good practice).
func (tab *tab) fits() {
	for _, scheme := range []string{"light", "dark"} {
		tab.looks(scheme)
		if got := ask[int](tab, `document.documentElement.scrollWidth`); got > 360 {
			tab.Errorf("%s: the page is %d px wide", scheme, got)
		}
	}
	small := ask[[]string](tab, `[...document.querySelectorAll('#controls button, #controls input[type=range]')]
		.filter((e) => e.offsetParent && e.getBoundingClientRect().height < 32).map((e) => e.id)`)
	if len(small) > 0 {
		tab.Errorf("too small to touch: %v", small)
	}
	unnamed := ask[[]string](tab, `[...document.querySelectorAll('button, input, canvas, textarea')]
		.filter((e) => !(e.textContent.trim() || e.labels?.length || e.getAttribute('aria-label'))).map((e) => e.outerHTML)`)
	if len(unnamed) > 0 {
		tab.Errorf("without a name for a screen reader: %v", unnamed)
	}
	if got := ask[string](tab, `byId('rig').textContent`); !strings.HasPrefix(got, "</script>") {
		tab.Errorf("the heading is %q", got)
	}
}

// The page's own threshold and words are those of the libraries.
func (tab *tab) speaks() {
	var scripts, want []string
	say := func(text, format string, args ...any) {
		scripts, want = append(scripts, fmt.Sprintf(format, args...)), append(want, text)
	}
	for l := 1e-5; l < 1000; l *= 2.7 {
		for _, size := range []float64{0.7, 3, 10, 60, 200} {
			for _, darker := range []bool{false, true} {
				want := fmt.Sprintf("%.6e", sight.Usual.Threshold(l, size, darker))
				say(want, "exponent(threshold(page.rig.observer, %g, %g, %v))", l, size, darker)
			}
		}
	}
	for m := 0.03; m < 900; m *= 1.83 {
		for system, u := range bothSystems {
			say(u.Short(m), "distance(%g, %d)", m, system)
			say(u.Speed(m/20), "speed(%g, %d)", m/20, system)
			say(u.Span(m/2, m, ""), "stretch(%g, %g, %d)", m/2, m, system)
			say(units.Metered(m)+" lx", "metered(%g)", m)
			tenth := math.Round(m*10) / 10
			say(units.Degrees(tenth*degree), "degrees(%g)", tenth)
		}
	}
	got := ask[[]string](tab, `((exponent) => [`+strings.Join(scripts, ",")+
		`])((v) => v.toExponential(6).replace(/e([+-])(\d)$/, 'e$10$2'))`)
	for i, text := range got {
		if text != want[i] {
			tab.Errorf("%s is %q, want %q", scripts[i], text, want[i])
		}
	}
}

// By keys alone: a slider goes by steps, its value is said, the address has it, and the rig's own
// comes back.
func (tab *tab) goesByKeys() {
	tab.press("#tilt-0", kb.ArrowRight)
	for script, want := range map[string]string{
		`byId('tilt-0').getAttribute('aria-valuetext').split('.')[0]`: "6",
		`decodeURIComponent(location.hash).split('&')[0]`:             "#tilts=6_0.7",
		`String(byId('lines').value.includes('tilt = "6 deg"'))`:      "true",
		`byId('lines').value.split('\n')[0]`:                          `base = "small.toml"`,
	} {
		if got := ask[string](tab, script); got != want {
			tab.Errorf("%s is %q, want %q", script, got, want)
		}
	}
	tab.press("", kb.Home)
	if got := ask[float64](tab, `page.rig.controls[0].tilts[page.s.tilts[0]]`); got != 2 {
		tab.Errorf("the home key tilts to %g°, want 2°", got)
	}
	tab.press("#back", " ")
	if got := ask[string](tab, `location.hash + page.s.tilts`); got != "1,1" {
		tab.Errorf("after back to the rig: %q", got)
	}
	tab.press("#undo", kb.Enter)
	if got := ask[string](tab, `String(page.s.tilts)`); got != "0,1" {
		tab.Errorf("after undo: %q", got)
	}
	tab.press("#map", kb.ArrowLeft, kb.ArrowUp)
	if got := ask[string](tab, `byId('reading').textContent`); !strings.Contains(got, "m left: ") {
		tab.Errorf("the mark reads %q", got)
	}
}

// Where an axis meets the ground can be dragged on the map: the lamp takes the tilt that comes
// nearest, and the drag is one step to undo.
func TestDrag(t *testing.T) {
	tab := open(t, ofSmall(t), 1000, 800, "#ahead=0")
	at := func(tilt int) []float64 {
		return ask[[]float64](tab, fmt.Sprintf(`(([x, y]) => {
			const { left, top } = byId('map').getBoundingClientRect();
			return [left + x, top + y];
		})(page.frame.point(page.rig.controls[0].lamps[0].aims[%d].hit))`, tilt))
	}
	from, to := at(1), at(2)
	tab.do(chromedp.DragAndDropXY(from[0], from[1], to[0]+1, to[1]))
	tab.press("")
	if got := ask[string](tab, `page.s.tilts + ' ' + page.undone.length`); got != "2,1 1" {
		t.Errorf("dragged to the next tilt, the setting is %q", got)
	}
	tab.close()
}

// A lamp of the command line is given back as an option, right for a shell.
func TestOptions(t *testing.T) {
	text := `name="it's a \"pod\"",up=6'3",tilt=1,tilt_range=[0,2],tilt_step=1,spread=20,lumens=900,output=1`
	lamp, err := rigfile.ParseLamp(text, 0)
	if err != nil {
		t.Fatal(err)
	}
	r, err := assembly.Assemble(rigfile.FromLamps([]rigfile.Lamp{lamp}), nil)
	if err != nil {
		t.Fatal(err)
	}
	tab := open(t, written(t, r), 800, 600, "#tilts=2")
	line := ask[string](tab, `byId('lines').value`)
	out, err := exec.Command("sh", "-c", "printf %s "+strings.TrimPrefix(strings.TrimSpace(line), "--lamp ")).Output()
	if err != nil {
		t.Skipf("no shell to ask: %v", err)
	}
	again, err := rigfile.ParseLamp(string(out), 0)
	if err != nil || again.Name != lamp.Name || assembly.Degrees(again.Tilt.Value) != 2 {
		t.Errorf("%s is %+v, %v", line, again, err)
	}
	tab.close()
}

// A rig with next to nothing in it makes a page too: no body, no scene, no name, no file, no sight.
func TestOneLamp(t *testing.T) {
	const lone = `
units = "imperial"
[[lamp]]
name = "one"
at = { ahead = "0 m", left = "0 m", up = "1 m" }
tilt = "-80 deg"
lumens = 5
output = 1
spread = "8 deg"
`
	const nonsense = "#tilts=x_1e9&on=7.-1&scene=-1&thing=99&air=%F0&units=7&ahead=a&surface=sky&rig=0"
	tab := open(t, written(t, assembled(t, lone, "")), 360, 740, nonsense)
	if got := ask[string](tab, `byId('answer').textContent`); got != "person is nowhere seen" {
		t.Errorf("the answer is %q", got)
	}
	if got := ask[string](tab, `byId('trouble').textContent`); !strings.HasPrefix(got, "This address was made by") {
		t.Errorf("of an address that is not its own the page says %q", got)
	}
	tab.close()
}

// How long a redraw takes is logged, not judged: that depends on the machine.
func TestDragTakes(t *testing.T) {
	if !*thorough {
		t.Skip("measured with -browser")
	}
	demo, err := os.ReadFile("../../demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	page := written(t, assembled(t, string(demo), "demo.toml"))
	tab := open(t, page, 1280, 800, "")
	took := ask[[]float64](tab, `Array.from({ length: 50 }, (_, k) => (page.s.tilts[0] = k % 25, page.draw(), page.took))
		.sort((a, b) => a - b)`)
	t.Logf("a page of %d bytes shows after %.0f ms; a redraw takes %.1f ms, at best %.1f ms",
		len(page), ask[float64](tab, `page.loaded`), took[25], took[0])
	tab.close()
}
