package main

import (
	"os"
	"testing"
)

// whole runs the program with its output thrown away.
func whole(b *testing.B, args ...string) {
	b.Helper()
	null, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	if err != nil {
		b.Fatal(err)
	}
	stdout, stderr := os.Stdout, os.Stderr
	os.Stdout, os.Stderr = null, null
	defer func() {
		os.Stdout, os.Stderr = stdout, stderr
		null.Close()
	}()
	args = append(args, "--out", b.TempDir())
	for b.Loop() {
		if code := run(args); code != 0 {
			b.Fatalf("%v: exit status %d", args, code)
		}
	}
}

func BenchmarkPlan(b *testing.B)    { whole(b, "plan") }
func BenchmarkAim(b *testing.B)     { whole(b, "aim") }
func BenchmarkCompare(b *testing.B) { whole(b, "compare") }
func BenchmarkSheet(b *testing.B)   { whole(b, "sheet") }
func BenchmarkLux(b *testing.B)     { whole(b, "lux", "--grid", "5m") }
