//go:build unix

package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/spf13/cobra"
)

// whole runs the program with its output thrown away, and reports the time of all threads together
// as well, which a machine with other things to do distorts less than that on the clock.
func whole(b *testing.B, args ...string) {
	b.Helper()
	quiet(b)
	args = append(args, "--out", b.TempDir())
	start := worked(b)
	for b.Loop() {
		if code := run(args); code != 0 {
			b.Fatalf("%v: exit status %d", args, code)
		}
	}
	b.ReportMetric((worked(b)-start)/float64(b.N), "cpu-s/op")
}

// quiet throws away what the program says until the benchmark ends.
func quiet(b *testing.B) {
	b.Helper()
	null, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	if err != nil {
		b.Fatal(err)
	}
	stdout, stderr := os.Stdout, os.Stderr
	os.Stdout, os.Stderr = null, null
	b.Cleanup(func() {
		os.Stdout, os.Stderr = stdout, stderr
		null.Close()
	})
}

// worked is how long the threads of the program have worked, s.
func worked(b testing.TB) float64 {
	b.Helper()
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		b.Fatal(err)
	}
	return float64(r.Utime.Nano()+r.Stime.Nano()) / 1e9
}

func BenchmarkPlan(b *testing.B)    { whole(b, "plan") }
func BenchmarkAim(b *testing.B)     { whole(b, "aim") }
func BenchmarkCompare(b *testing.B) { whole(b, "compare") }
func BenchmarkSight(b *testing.B)   { whole(b, "sight", "--at", "60m") }
func BenchmarkPage(b *testing.B)    { whole(b, "page") }
func BenchmarkCheck(b *testing.B)   { whole(b, "check") }
func BenchmarkSheet(b *testing.B)   { whole(b, "sheet") }
func BenchmarkLux(b *testing.B)     { whole(b, "lux", "--grid", "5m") }

// BenchmarkSave is how long it takes under --watch from a save of the demo, with one value changed, to
// all pictures and figures.
func BenchmarkSave(b *testing.B) {
	for _, change := range [][3]string{
		{"tilt", `tilt       = "5 deg"`, `tilt       = "5.5 deg"`}, {"name", `name  = "search-and-rescue`, `name  = "rescue`},
	} {
		b.Run(change[0], func(b *testing.B) {
			quiet(b)
			dir := b.TempDir()
			file := filepath.Join(dir, "rig.toml")
			save := func(text string) {
				if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
					b.Fatal(err)
				}
			}
			save(demo)
			q := requested(b, "--out", filepath.Join(dir, "out"), file)
			cmd := &cobra.Command{}
			cmd.SetOut(io.Discard)
			ctx, stop := context.WithCancel(b.Context())
			cmd.SetContext(ctx)
			known, done, ended := new(planned), make(chan error), make(chan error)
			go func() {
				ended <- watch(ctx, file, func() error {
					err := q.answer(cmd, known.plan)
					done <- err
					return err
				})
			}()
			if err := <-done; err != nil {
				b.Fatal(err)
			}
			texts, start := []string{strings.Replace(demo, change[1], change[2], 1), demo}, worked(b)
			for i := 0; b.Loop(); i++ {
				save(texts[i%2])
				if err := <-done; err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric((worked(b)-start)/float64(b.N), "cpu-s/op")
			stop()
			if err := <-ended; err != nil {
				b.Fatal(err)
			}
		})
	}
}

// BenchmarkThings is how plan of the demo grows with the things that are looked for.
func BenchmarkThings(b *testing.B) {
	things := []string{"person", "rut", "animal", "rock", "plate"}
	for n := range things {
		args := []string{"plan"}
		for _, thing := range things[:n+1] {
			args = append(args, "--thing", thing)
		}
		b.Run(fmt.Sprint(n+1), func(b *testing.B) { whole(b, args...) })
	}
}

// Rigs as large as a rig file may be.

// bigVehicle is a vehicle with so many boxes, overlapping in height, one behind the other.
func bigVehicle(boxes int) string {
	var s strings.Builder
	s.WriteString(`name = "big"
[vehicle]
length = "5 m"
width = "1.9 m"
wheelbase = "3 m"
front_overhang = "0.9 m"
eye = { ahead = "-2.1 m", left = "0.4 m", up = "1.65 m" }
`)
	for i := range boxes {
		long := 4.3 / float64(boxes)
		fmt.Fprintf(&s, "[[vehicle.body]]\nahead = [\"%.3f m\", \"%.3f m\"]\nleft = [\"%.2f m\", \"%.2f m\"]\nup = "+
			"[\"0.5 m\", \"%.3f m\"]\n",
			-4.5+float64(i)*long, -4.5+(float64(i)+0.8)*long, -0.9+0.05*float64(i%3), 0.9-0.05*float64(i%5),
			0.8+0.125*float64(i%4))
	}
	return s.String()
}

// bigLamp is a lamp of a width (m).
func bigLamp(name string, ahead, left, up, width, tilt, spread, lumens float64) string {
	return fmt.Sprintf("[[lamp]]\nname = %q\nat = { ahead = \"%g m\", left = \"%g m\", up = \"%g m\" }\nwidth = "+
		"\"%g m\"\ntilt = %g\nspread = %g\nlumens = %g\n",
		name, ahead, left, up, width, tilt, spread, lumens)
}

// bigRigs are rigs at their limits by name.
func bigRigs() map[string]string {
	three := bigLamp("bar", -1.9, 0, 2.05, 1, 5, 12, 14000) + bigLamp("flood", -1.9, 0.5, 2, 0.1, 8, 36, 4000) +
		bigLamp("spot", 0, 0.3, 0.8, 0, 1, 10, 3600)
	rigs := map[string]string{}
	for _, boxes := range []int{0, 8, 20, 64} {
		rigs[fmt.Sprintf("%d boxes", boxes)] = bigVehicle(boxes) + three
	}
	bars := bigVehicle(0)
	for i := range 200 {
		bars += bigLamp(fmt.Sprintf("bar %d", i), -1.9, -0.9+0.09*float64(i%20), 1+0.05*float64(i/20), 1.2,
			1+0.05*float64(i), 20, 3000)
	}
	rigs["200 bars"] = bars
	ground := bigVehicle(2) + three + "[ground]\nprofile = ["
	for i := range 1000 {
		ground += fmt.Sprintf("[\"%g m\", \"%.3f m\"], ", -20+0.5*float64(i), 0.3*math.Sin(0.05*float64(max(0, i-60))))
	}
	rigs["1000 points"] = ground + "]\n"
	aimed := bigVehicle(2)
	for i := range 12 {
		ahead, up := -0.1, 0.8
		if i >= 6 {
			ahead, up = -1.9, 2.05
		}
		aimed += bigLamp(fmt.Sprintf("lamp %d", i), ahead, -0.8+0.32*float64(i%6), up, 0.2, 2,
			[]float64{10, 20, 36}[i%3], 3000) +
			"tilt_range = [0, 12]\ntilt_step = 0.5\nturn_range = [-20, 20]\nturn_step = 2\n"
	}
	aimed += `[[target]]
see = "person"
ahead = ["40 m", "120 m"]
half_width = "3 m"
[[target]]
see = "rut"
ahead = ["8 m", "25 m"]
half_width = "2 m"
[[target]]
ahead = ["5 m", "40 m"]
half_width = "4 m"
lux = 10
[[limit]]
at = { ahead = "50 m", left = "3.5 m", up = "1.1 m" }
lux = 10
`
	rigs["aim 12 lamps"] = aimed
	rigs["aim in dust"] = aimed + "[air]\nvisibility = \"150 m\"\nparticles = \"dust\"\n"
	return rigs
}

func BenchmarkLimits(b *testing.B) {
	dir := b.TempDir()
	rigs := bigRigs()
	for _, name := range []string{"0 boxes", "8 boxes", "20 boxes", "64 boxes", "200 bars", "1000 points",
		"aim 12 lamps", "aim in dust"} {
		file := filepath.Join(dir, strings.ReplaceAll(name, " ", "-")+".toml")
		if err := os.WriteFile(file, []byte(rigs[name]), 0o644); err != nil {
			b.Fatal(err)
		}
		command := "plan"
		if strings.HasPrefix(name, "aim") {
			command = "aim"
		}
		b.Run(name, func(b *testing.B) { whole(b, command, file) })
	}
}
