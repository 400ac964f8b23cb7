package savefile

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// A process that is killed in the middle of its work leaves whole files. The test runs itself as
// that process: it writes files of one letter, which is another each time, and says so on standard
// output before each.

const (
	killedWrites = "BEAMFALL_TEST_WRITES"
	killedSize   = 300_000
	killedFiles  = 3
)

// sweep kills many more times.
var sweep = flag.Bool("sweep", false, "look at many more cases, for minutes")

func TestMain(m *testing.M) {
	if dir := os.Getenv(killedWrites); dir != "" {
		for i := 0; ; i++ {
			var files []File
			for n := range killedFiles {
				files = append(files, File{Name: filepath.Join(dir, fmt.Sprint(n)),
					Data: bytes.Repeat([]byte{byte('a' + i%26)}, killedSize)})
			}
			fmt.Print(".")
			if err := All(files); err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(1)
			}
		}
	}
	os.Exit(m.Run())
}

func TestKilled(t *testing.T) {
	times := 20
	if *sweep {
		times = 500
	}
	self, err := os.Executable()
	if err != nil {
		t.Skip(err)
	}
	dir := t.TempDir()
	left := 0
	for i := range times {
		cmd := exec.Command(self)
		cmd.Env = append(os.Environ(), killedWrites+"="+dir)
		cmd.Stderr = os.Stderr
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Skip(err)
		}
		// By the second round files of the same names are there; how far it is with them at the
		// kill is chance.
		if _, err := io.CopyN(io.Discard, out, int64(1+i%3)); err != nil {
			t.Fatal(err)
		}
		cmd.Process.Kill()
		cmd.Wait()
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			name := filepath.Join(dir, e.Name())
			if strings.HasPrefix(e.Name(), ".beamfall-") && strings.HasSuffix(e.Name(), ".tmp") {
				left++
				os.Remove(name)
				continue
			}
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if len(text) != killedSize || len(bytes.Trim(text, string(text[:1]))) > 0 {
				t.Fatalf("kill %d: %s is not whole: %d bytes of %.3q…", i, e.Name(), len(text), text)
			}
		}
	}
	t.Logf("%d kills left %d temporary files", times, left)
}
