package rigfile

// Files that a rig names. Rigs are mailed: nobody who reads one should call on a network or a
// device by it, or print the secrets of another file.

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/quantity"
)

// Open opens a file by its path.
type Open func(path string) (io.ReadCloser, error)

// Resolve is the path of a file that a rig file names: as it is when it is absolute, else beside
// the rig file. The error says that it is in a network or a device.
func Resolve(rigFile, name string) (path string, err error) {
	path = filepath.Clean(name)
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(rigFile), name)
	}
	for _, p := range []string{name, path, absolute(path)} {
		if problem := refuseFile(p); problem != "" {
			return "", errors.New(problem)
		}
	}
	return path, nil
}

// Inside reports whether a path that Resolve gave is in the folder of the rig file.
func Inside(rigFile, path string) bool {
	rel, err := filepath.Rel(absolute(filepath.Dir(rigFile)), absolute(path))
	return err == nil && filepath.IsLocal(rel)
}

func absolute(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		return abs
	}
	return path
}

// refuseFile says what keeps a file from being opened, whatever the system; empty for a path that
// is right.
func refuseFile(name string) (problem string) {
	slashed := strings.ReplaceAll(name, `\`, "/")
	first, _, _ := strings.Cut(slashed, "/")
	device, _, _ := strings.Cut(slashed[strings.LastIndexByte(slashed, '/')+1:], ".")
	clean := filepath.ToSlash(filepath.Clean(slashed))
	system := func(dir string) bool { return clean == dir || strings.HasPrefix(clean, dir+"/") }
	switch {
	case strings.HasPrefix(slashed, "//"):
		return quantity.Quote(name) + " is a place in a network or a device"
	case strings.HasSuffix(first, ":") && len(first) > 2:
		return quantity.Quote(name) + " is an address, not a file"
	case slices.ContainsFunc([]string{"/dev", "/proc", "/sys"}, system):
		return quantity.Quote(name) + " is a device, not a file"
	case windowsDevices[strings.ToUpper(strings.TrimSpace(device))]:
		return quantity.Quote(name) + " is a device on Windows, not a file"
	}
	return ""
}

// windowsDevices are names that are no files on Windows, in any folder and with any ending.
var windowsDevices = func() map[string]bool {
	names := map[string]bool{"CON": true, "PRN": true, "AUX": true, "NUL": true, "CONIN$": true, "CONOUT$": true}
	for i := range 10 {
		names[fmt.Sprintf("COM%d", i)], names[fmt.Sprintf("LPT%d", i)] = true, true
	}
	return names
}()

func refusePhotometry(name string) (problem, remedy string) {
	return refuseFile(name), "name a file beside the rig"
}

// refuseBase also keeps files that are no rigs from being read as some: messages show what is
// wrong.
func refuseBase(name string) (problem, remedy string) {
	problem = refuseFile(name)
	if !strings.HasSuffix(strings.ToLower(name), ".toml") {
		problem = cmp.Or(problem, quantity.Quote(name)+" does not end in .toml")
	}
	return problem, `write e.g. base = "fleet.toml"`
}
