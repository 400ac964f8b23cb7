package savefile

import (
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// in makes a directory with one file, kept.toml, and is the working directory of the test.
func in(t *testing.T) {
	t.Helper()
	t.Chdir(t.TempDir())
	if err := os.WriteFile("kept.toml", []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
}

// holds checks that the directory holds these files and no other.
func holds(t *testing.T, want map[string]string) {
	t.Helper()
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		text, err := os.ReadFile(e.Name())
		if err != nil && !e.Type().IsRegular() { // a directory, a link to nowhere
			continue
		}
		if got, ok := want[e.Name()]; !ok || got != string(text) {
			t.Errorf("%s holds %q, want %q", e.Name(), text, got)
		}
	}
	for name := range want {
		if _, err := os.Stat(name); err != nil {
			t.Error(err)
		}
	}
}

func link(t *testing.T, to, name string) {
	t.Helper()
	if err := os.Symlink(to, name); err != nil {
		t.Skip(err)
	}
}

func TestWrite(t *testing.T) {
	in(t)
	for _, name := range []string{"kept.toml", "made.toml"} {
		if err := Write(name, []byte("new")); err != nil {
			t.Error(err)
		}
	}
	holds(t, map[string]string{"kept.toml": "new", "made.toml": "new"})
}

func TestModes(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no such modes")
	}
	in(t)
	if err := os.WriteFile("beside", nil, 0o666); err != nil { // what the system makes of a new file
		t.Fatal(err)
	}
	plain, err := os.Stat("beside")
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]fs.FileMode{"kept.toml": 0o640, "made.toml": plain.Mode()} {
		if err := Write(name, []byte("new")); err != nil {
			t.Error(err)
		}
		if info, err := os.Stat(name); err != nil || info.Mode() != want {
			t.Errorf("%s: mode %v, want %v", name, info.Mode(), want)
		}
	}
}

func TestLinkStaysLink(t *testing.T) {
	in(t)
	link(t, "kept.toml", "link")
	if err := Write("link", []byte("new")); err != nil {
		t.Fatal(err)
	}
	if to, err := os.Readlink("link"); to != "kept.toml" {
		t.Errorf("the link leads to %q: %v", to, err)
	}
	holds(t, map[string]string{"kept.toml": "new", "link": "new"})
}

// A file in the middle of a list that cannot be written leaves those before it as they were.
func TestNothingIsWritten(t *testing.T) {
	tests := []struct{ name, want string }{
		{"", "cannot write : the name is empty"},
		{"folder", "cannot write folder: it is a directory"},
		{".", "cannot write .: it is a directory"},
		{filepath.Join("nowhere", "a"), "there is no directory nowhere"},
		{filepath.Join("kept.toml", "a"), "not a directory"},
		{"astray", "cannot write astray: it is a link to a file that is not there"},
		{"loop", "cannot write loop: "},
		{os.DevNull, "it is not a plain file"},
		{strings.Repeat("n", 300), "cannot write nnn"},
	}
	for _, tt := range tests {
		in(t)
		if err := os.Mkdir("folder", 0o755); err != nil {
			t.Fatal(err)
		}
		link(t, "gone", "astray")
		link(t, "loop", "loop")
		for what, err := range map[string]error{
			"All": All([]File{{Name: "kept.toml", Data: []byte("new")}, {Name: tt.name, Data: []byte("new")},
				{Name: "made.toml"}}),
			"Ready": Ready(tt.name, ""),
		} {
			if err == nil && what == "Ready" && len(tt.name) == 300 {
				continue // only the system knows what is too long
			}
			if err == nil || !strings.Contains(err.Error(), tt.want) && runtime.GOOS != "windows" ||
				strings.Contains(err.Error(), ".tmp") {
				t.Errorf("%s %q: %v, want %s", what, tt.name, err, tt.want)
			}
		}
		holds(t, map[string]string{"kept.toml": "old"})
	}
}

func TestReady(t *testing.T) {
	in(t)
	for _, name := range []string{"kept.toml", "made.toml"} {
		if err := Ready(name, ""); err != nil {
			t.Error(err)
		}
	}
	if err := Ready("out/made.toml", "./out/"); err != nil {
		t.Errorf("in a directory that will be made: %v", err)
	}
	for _, name := range []string{"other/made.toml", "out/deep/made.toml"} {
		if err := Ready(name, "out"); err == nil {
			t.Errorf("%s could be written with only out made", name)
		}
	}
	if err := os.MkdirAll("there/made.toml", 0o755); err != nil {
		t.Fatal(err)
	}
	if err := Ready("there/made.toml", "there"); err == nil {
		t.Error("a directory could be written over")
	}
	holds(t, map[string]string{"kept.toml": "old"})
}

func TestProtectedFile(t *testing.T) {
	in(t)
	if err := os.Chmod("kept.toml", 0o444); err != nil {
		t.Fatal(err)
	}
	if f, err := os.OpenFile("kept.toml", os.O_WRONLY, 0); err == nil {
		f.Close()
		t.Skip("this user may write everything")
	}
	if err := Write("kept.toml", []byte("new")); err == nil ||
		!strings.HasPrefix(err.Error(), "cannot write kept.toml: ") {
		t.Errorf("%v, want that it cannot be written", err)
	}
	holds(t, map[string]string{"kept.toml": "old"})
}

func TestCreate(t *testing.T) {
	in(t)
	if err := Create("made.toml", []byte("new")); err != nil {
		t.Error(err)
	}
	link(t, "gone", "astray")
	for _, name := range []string{"kept.toml", "made.toml", "astray", "."} {
		if err := Create(name, []byte("newer")); err == nil || !strings.Contains(err.Error(), "there already") {
			t.Errorf("%s: %v, want that it is there already", name, err)
		}
	}
	if err := Create("", nil); err == nil {
		t.Error("a file without a name was made")
	}
	holds(t, map[string]string{"kept.toml": "old", "made.toml": "new"})
	if _, err := os.Lstat("gone"); err == nil {
		t.Error("Create followed a link")
	}
}

func TestDirReady(t *testing.T) {
	in(t)
	deep := filepath.Join("a", "b", "c")
	for name, want := range map[string]string{
		".": "", deep: "", "kept.toml": "kept.toml is a file",
		filepath.Join("kept.toml", "a"): "cannot make the directory",
		"":                              "the name of a directory is empty; write . for the one you are in",
	} {
		err := DirReady(name)
		if (want == "") != (err == nil) || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", name, err, want)
		}
	}
	if _, err := os.Stat("a"); err == nil {
		t.Error("DirReady made a directory")
	}
	if err := Dir(deep); err != nil {
		t.Error(err)
	}
	if err := DirReady(deep); err != nil {
		t.Error(err)
	}
}

// A link at a name that the user did not choose is replaced; what it points to stays as it was.
func TestLinksAreReplaced(t *testing.T) {
	in(t)
	link(t, "kept.toml", "top.png")
	link(t, "nowhere", "side.png")
	if err := All([]File{{Name: "top.png", Data: []byte("new"), Replace: true},
		{Name: "side.png", Data: []byte("new"), Replace: true}}); err != nil {
		t.Fatal(err)
	}
	holds(t, map[string]string{"kept.toml": "old", "top.png": "new", "side.png": "new"})
	for _, name := range []string{"top.png", "side.png"} {
		if info, err := os.Lstat(name); err != nil || !info.Mode().IsRegular() {
			t.Errorf("%s is still a link: %v", name, err)
		}
	}
}
