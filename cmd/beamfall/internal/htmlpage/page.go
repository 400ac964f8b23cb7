// Package htmlpage writes a page: one HTML file in which a rig's tilts and switches can be tried,
// without network.
//
// Light adds up. So what every lamp does at every tilt of its range is worked out here, by the same
// code as everything else, and packed into the file; its script sums, colours, and asks from what
// light on an eye finds a thing. Style and scripts are plain files beside this one, put into the
// page as they are.
package htmlpage

import (
	"bytes"
	"context"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"text/template"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/render/draw"
)

//go:embed page.html page.css script/*.js
var files embed.FS

// scripts in the order in which they need each other.
var scripts = []string{
	"unpack", "words", "sight", "light", "figures", "setting", // what a setting comes to
	"canvas", "isolines", "frame", "map", "section", "curve", // how it is drawn
	"elements", "controls", "say", "page",
}

// Options are what a page is asked for beside the rig.
type Options struct {
	Figures figures.Options
	Caution string // in lines
	File    string // path of the rig file; empty where it is from none that a page could name
}

// Write works out a page of a rig: of all its lamps and the scenes left in it. Progress is told the
// share done, from any goroutine; it may be nil.
func Write(ctx context.Context, r *assembly.Rig, o Options, progress func(float64)) ([]byte, error) {
	b := &builder{rig: r, options: o, progress: progress}
	if err := b.work(ctx); err != nil {
		return nil, err
	}
	data, err := b.pack()
	if err != nil {
		return nil, err
	}
	return fill(data)
}

// fill puts style, scripts and data into the page. The only words of a rig in it are in the data,
// which is base64, so that none of them can be markup; what else is in it is ours.
func fill(data string) ([]byte, error) {
	style, err := styleSheet()
	if err != nil {
		return nil, err
	}
	script, err := joined()
	if err != nil {
		return nil, err
	}
	page, err := template.ParseFS(files, "page.html")
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	err = page.Execute(&out, map[string]string{
		"Style": style, "StyleHash": hash(style), "Script": script, "ScriptHash": hash(script), "Data": data,
	})
	return out.Bytes(), err
}

func styleSheet() (string, error) {
	plain, err := files.ReadFile("page.css")
	if err != nil {
		return "", err
	}
	paper, night := properties(draw.Paper()), properties(draw.Night())
	const dark = "@media screen and (prefers-color-scheme: dark) {\n:root:not(.printing) {\n"
	return "\n:root {\n" + paper + "}\n" + dark + night + "}\n}\n" + string(plain), nil
}

// joined is all scripts as one, in a scope of its own.
func joined() (string, error) {
	var out bytes.Buffer
	out.WriteString("\n'use strict';\n")
	for _, name := range scripts {
		text, err := files.ReadFile("script/" + name + ".js")
		if err != nil {
			return "", err
		}
		out.WriteString("\n")
		out.Write(text)
	}
	return out.String(), nil
}

// hash is what a Content-Security-Policy knows a style or script by.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}
