package rigfile

import (
	"fmt"
	"io"
	"strings"
	"testing"
)

// endless is a text without end.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = '#'
	}
	return len(p), nil
}

// hugeFiles are files that are far too much of something, each with the one thing to be said of it.
func hugeFiles() []struct{ name, file, want string } {
	fill := func(piece string) string { return strings.Repeat(piece, mostBytes/len(piece)) }
	var keys, lamps strings.Builder
	for i := 0; keys.Len() < mostBytes-20; i++ {
		fmt.Fprintf(&keys, "a%d=1\n", i)
	}
	for i := range 201 {
		fmt.Fprintf(&lamps, "[[lamp]]\nname=\"l%d\"\nat.up=\"1 m\"\nlumens=9\nspread=9\n", i)
	}
	const tooMany = "rig.toml:1:1: the file holds more than 40000 values, too many for a rig; see beamfall new for what a rig file looks like"
	return []struct{ name, file, want string }{
		{"1 MiB and a byte", fill("#") + "#",
			"rig.toml:1:1: the file is larger than 1 MiB, too large for a rig; see beamfall new for what a rig file looks like"},
		{"201 lamps", lamps.String(),
			"rig.toml:1001:3: lamp: 201 of them, more than 200; leave out what is not needed"},
		{"a file full of lamps", fill("[[lamp]]\n"),
			tooMany},
		{"lamps in braces", "lamp=[" + strings.Repeat("{},", 200_000) + "]",
			tooMany},
		{"keys", keys.String(),
			"rig.toml:1001:1: more than 1000 keys in one table; see beamfall new for what a rig file looks like"},
		{"optics", "[[lamp]]\nat.up=\"2 m\"\nlumens=9\n" + strings.Repeat("[[lamp.optic]]\n", 60_000),
			tooMany},
		{"lists in lists", "name=" + fill("[")[5:],
			"rig.toml:1:10006: this is not TOML: arrays and inline tables are nested more than the maximum of 10000 levels deep; see beamfall new for what a rig file looks like"},
		{"lists of seventeen levels", "[ground]\nprofile=" + strings.Repeat("[", 17) + strings.Repeat("]", 17),
			"rig.toml:2:9: tables or lists too deep within each other; see beamfall new for what a rig file looks like"},
		{"tables in braces", strings.Repeat("air={", 200_000),
			"rig.toml:1:50005: this is not TOML: arrays and inline tables are nested more than the maximum of 10000 levels deep; see beamfall new for what a rig file looks like"},
		{"dots", "a" + strings.Repeat(".a", 500_000) + "=1",
			"rig.toml:1:33: tables or lists too deep within each other; see beamfall new for what a rig file looks like"},
		{"numbers", "[ground]\nprofile=[" + strings.Repeat("1,", 500_000) + "]",
			tooMany},
		{"lists", "[ground]\nprofile=[" + strings.Repeat("["+strings.Repeat("1,", 1000)+"],", 500) + "]",
			tooMany},
		{"a long name", "name=\"" + strings.Repeat("x", 1_000_000) + "\"",
			"rig.toml:1:6: name: a text of 1000000 bytes, more than 200; shorten it"},
		{"a long number", "[ground]\nreflectance=" + strings.Repeat("9", 1_000_000),
			"rig.toml:2:13: this is not TOML: decimal number is too large to fit in a 64-bit signed integer; see beamfall new for what a rig file looks like"},
		{"a long key", strings.Repeat("x", 1_000_000) + "=1",
			"rig.toml:1:1: key \"xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…\" is not known; known here: name, base, remove, units, record, vehicle, driver, lamp, headlights, scene, thing, ground, track, stopping, air, target, limit, aim"},
	}
}

func TestHugeFiles(t *testing.T) {
	for _, test := range hugeFiles() {
		_, err := Read(strings.NewReader(test.file), "rig.toml")
		if err == nil {
			t.Errorf("%s: was read", test.name)
			continue
		}
		var got []string
		for line := range strings.SplitSeq(err.Error(), "\n") {
			// What is missing besides, is.
			if !strings.HasSuffix(line, "lamp is missing; write [[lamp]] and its keys below it") {
				got = append(got, line)
			}
		}
		if len(got) != 1 || got[0] != test.want {
			t.Errorf("%s:\n got %s\nwant %s", test.name, strings.Join(got[:min(len(got), 3)], "\n     "), test.want)
		}
	}
}

func TestEndlessFile(t *testing.T) {
	_, err := Read(endless{}, "rig.toml")
	if err == nil || !strings.Contains(err.Error(), "larger than 1 MiB") {
		t.Errorf("an endless file: %v", err)
	}
}

func BenchmarkHugeFiles(b *testing.B) {
	for _, test := range hugeFiles() {
		b.Run(strings.ReplaceAll(test.name, " ", "_"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Read(strings.NewReader(test.file), "rig.toml"); err == nil {
					b.Fatal("was read")
				}
			}
		})
	}
}

func BenchmarkRead(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(strings.NewReader(everyKey), "rig.toml"); err != nil {
			b.Fatal(err)
		}
	}
}

var _ io.Reader = endless{}
