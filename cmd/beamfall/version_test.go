package main

import (
	"runtime/debug"
	"testing"
)

func TestVersionOf(t *testing.T) {
	vcs := func(revision, modified string) []debug.BuildSetting {
		return []debug.BuildSetting{{Key: "vcs", Value: "git"}, {Key: "vcs.revision", Value: revision},
			{Key: "vcs.modified", Value: modified}}
	}
	const revision = "1de3f16d3d04c64bb7b3b3d7bd1b3f5f0ac54e11"
	tests := []struct {
		built string
		info  *debug.BuildInfo
		want  string
	}{
		{"without build information", nil, "devel"},
		{"by go test", &debug.BuildInfo{}, "devel"},
		{"from a folder", &debug.BuildInfo{Main: debug.Module{Version: "(devel)"}}, "devel"},
		{"from a module", &debug.BuildInfo{Main: debug.Module{Version: "v1.2.3"}}, "v1.2.3"},
		{"from a tagged checkout", &debug.BuildInfo{Main: debug.Module{Version: "v1.2.3"},
			Settings: vcs(revision, "false")}, "v1.2.3"},
		{"from a checkout", &debug.BuildInfo{Main: debug.Module{Version: "(devel)"}, Settings: vcs(revision, "false")},
			"1de3f16d3d04"},
		{"from a changed checkout", &debug.BuildInfo{Settings: vcs(revision, "true")}, "1de3f16d3d04+dirty"},
		{"from a short revision", &debug.BuildInfo{Settings: vcs("47", "false")}, "47"},
		{"changed, but from no revision", &debug.BuildInfo{Settings: vcs("", "true")}, "devel"},
	}
	for _, tt := range tests {
		if got := versionOf(tt.info); got != tt.want {
			t.Errorf("built %s: %q, want %q", tt.built, got, tt.want)
		}
	}
}
