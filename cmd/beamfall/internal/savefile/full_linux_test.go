package savefile

import (
	"bytes"
	"os"
	"strings"
	"syscall"
	"testing"
)

// On a full disk all files stay as they were and no temporary file is left, though some of the new
// ones had room.
func TestFullDisk(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=64k"); err != nil {
		t.Skipf("no disk to fill: %v", err)
	}
	defer syscall.Unmount(dir, syscall.MNT_DETACH)
	t.Chdir(dir)
	defer os.Chdir("/") // a directory that one is in stays mounted
	if err := os.WriteFile("kept.toml", []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
	some := bytes.Repeat([]byte("x"), 24_000)
	err := All([]File{{Name: "kept.toml", Data: some}, {Name: "a", Data: some}, {Name: "b", Data: some}})
	if err == nil || err.Error() != "cannot write b: no space left on device" {
		t.Errorf("%v, want that there is no space left", err)
	}
	holds(t, map[string]string{"kept.toml": "old"})
	if err := Create("made.toml", bytes.Repeat([]byte("x"), 100_000)); err == nil ||
		!strings.HasPrefix(err.Error(), "cannot write made.toml: ") {
		t.Errorf("%v, want that it cannot be written", err)
	}
	holds(t, map[string]string{"kept.toml": "old"})
	if err := Write("kept.toml", some); err != nil {
		t.Error(err)
	}
	holds(t, map[string]string{"kept.toml": string(some)})
}
