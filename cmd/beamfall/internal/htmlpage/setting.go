package htmlpage

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/render/units"
)

// settings are the tables of a plan for every tilt: what to set lamps by, and what that gives. Rows
// are by system of units, control, tilt and lamp.
type settings struct {
	Tables [2][]head      `json:"tables"`
	Rows   [2][][][]cells `json:"rows"`
}

type head struct {
	Title   string   `json:"title"`
	Columns []string `json:"columns"`
	Right   []bool   `json:"right"`
}

// cells are the row of one lamp in each of the tables.
type cells [][]string

// bothSystems are the systems of units by their number on the page.
var bothSystems = [2]units.System{units.Metric, units.Imperial}

// settings works out the tables as plan prints them. A plan is of all lamps at once, so the first
// one has the lowest tilt of each, and so on.
func (b *builder) settings(ctx context.Context) error {
	out, controls := &b.header.Settings, b.header.Controls
	most := 0
	for s := range bothSystems {
		out.Rows[s] = make([][][]cells, len(b.tilts))
		for i, t := range b.tilts {
			out.Rows[s][i] = make([][]cells, len(t.at))
			most = max(most, len(t.at))
		}
	}
	for i, t := range b.tilts {
		for n := range controls[i].Lamps {
			for s := range bothSystems {
				controls[i].Lamps[n].Sets[s] = make([]string, len(t.at))
			}
		}
	}
	for k := range most {
		r := *b.rig
		r.Lamps, r.Scenes = slices.Clone(r.Lamps), nil
		for _, index := range r.Shown {
			t := b.tilts[b.controlOf(index)]
			r.Lamps[index].Aim.Tilt = t.at[min(k, len(t.at)-1)]
		}
		p, err := figures.PlanOf(ctx, &r, b.options.Figures, nil)
		if err != nil {
			return err
		}
		for s, u := range bothSystems {
			tables := []*table.Table{report.Setting(u, p), report.GivesEach(u, p)}
			if k == 0 {
				for _, t := range tables {
					out.Tables[s] = append(out.Tables[s], headOf(t))
				}
			}
			seen := make([]int, len(b.tilts)) // lamps of each control
			for n, index := range r.Shown {
				i := b.controlOf(index)
				if k < len(b.tilts[i].at) {
					var row cells
					for _, t := range tables {
						row = append(row, t.Rows[n])
					}
					out.Rows[s][i][k] = append(out.Rows[s][i][k], row)
					controls[i].Lamps[seen[i]].Sets[s][k] = setBy(u, &p.Lamps[n].Setting)
				}
				seen[i]++
			}
		}
		b.did(0.2 * float64(k+1) / float64(most))
	}
	return nil
}

func headOf(t *table.Table) head {
	h := head{Title: t.Title}
	for _, c := range t.Columns {
		h.Columns, h.Right = append(h.Columns, c.Name), append(h.Right, c.Right)
	}
	return h
}

// setBy is what one lamp is set by, in words.
func setBy(u units.System, s *figures.Setting) string {
	up, aside, _ := report.WallMark(u, s)
	text := "meter " + units.Degrees(float64(s.Reading))
	if s.Wall == nil {
		return text + ", wall: " + up
	}
	return fmt.Sprintf("%s, wall %s up, %s", text, up, strings.TrimSpace(aside))
}
