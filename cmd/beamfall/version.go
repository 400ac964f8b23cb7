package main

import (
	"cmp"
	"runtime/debug"
)

// version is the version of the program that is running.
func version() string {
	info, _ := debug.ReadBuildInfo()
	return versionOf(info)
}

// versionOf names a build by what Go itself has written into it: the version of the module, or else
// the revision that it was built from; devel where there is neither.
func versionOf(info *debug.BuildInfo) string {
	if info == nil {
		return "devel"
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	var revision, changed string
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			revision = s.Value[:min(12, len(s.Value))]
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = "+dirty" // as in versions that Go makes up itself
		}
	}
	if revision != "" {
		revision += changed
	}
	return cmp.Or(revision, "devel")
}
