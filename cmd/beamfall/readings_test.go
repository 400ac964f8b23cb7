package main

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"
)

// Whatever a table of readings holds, it is read or refused in words, by its line.
func FuzzReadings(f *testing.F) {
	for _, text := range []string{
		"name,reading\nbar,3\n", "name,reading\nbar,\n", "name,reading\n\"bar\" 2,3\n",
		"\ufeffname,reading\r\nbar,\"3\n4\"\r\n", "# nothing\n", "name\n", "a,a\n1,2,3\n", "",
		"ahead_m,left_m,lamp,facing\n10,0,bar,100\n", "ahead,left,scene,ground\n10 m,0,,-1\n",
		"ahead,left,facing\n1e999 m,0,1e999\n",
	} {
		f.Add(text)
	}
	r, err := source{lamps: []string{"name=bar,up=1m,spread=10,lumens=3000"}}.read(selection{reads: &reads{}})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		open := func(string) (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil }
		rows, err := csvFile(open, "readings.csv", nil, readingColumns)
		if err == nil {
			_, err = r.readings(rows, "readings.csv")
		}
		if err != nil && !strings.Contains(err.Error(), "readings.csv") {
			t.Errorf("an error that does not say of what file: %v", err)
		}
		found := found{file: "found.csv"}
		if _, err := found.read(open); err != nil && !strings.Contains(err.Error(), "found.csv") {
			t.Errorf("an error that does not say of what file: %v", err)
		}
	})
}

// A table that cannot be read to its end is an error of the world.
func TestReadingsThatBreakOff(t *testing.T) {
	gone := errors.New("the disk is gone")
	open := func(string) (io.ReadCloser, error) {
		return io.NopCloser(io.MultiReader(strings.NewReader("name,reading\n"), breaking{gone})), nil
	}
	if _, err := csvFile(open, "found.csv", []string{"name", "reading"}, nil); !errors.Is(err, gone) {
		t.Errorf("the error is %v", err)
	}
	long := func(string) (io.ReadCloser, error) {
		return io.NopCloser(bytes.NewReader(bytes.Repeat([]byte("name,reading\n"), 100_000))), nil
	}
	if _, err := csvFile(long, "found.csv", []string{"name", "reading"}, nil); err == nil ||
		!strings.Contains(err.Error(), "1 MiB") {
		t.Errorf("the error is %v", err)
	}
}

type breaking struct{ error }

func (b breaking) Read([]byte) (int, error) { return 0, b.error }
