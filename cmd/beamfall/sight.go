package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/quantity"
	"beamfall/cmd/beamfall/internal/report"
	"beamfall/cmd/beamfall/internal/table"

	"github.com/spf13/cobra"
)

func newSight() *cobra.Command {
	var f flags
	var at []string
	var bends bool
	cmd := &cobra.Command{
		Use:   "sight [RIG…]",
		Short: "How far a person, an animal, a rut is seen",
		Long: `sight works out what the driver sees by the light of a scene: how far along the track each thing is seen, what
keeps it from being seen farther, and from what speed the vehicle stops short of it. With --at it gives every
quantity on the way for things at a place: the light on them, luminances, the veil that lit ground, hood and air
lay over the eye, and how many times plainer than the threshold they are. beamfall help seeing says what that
means and what it does not. The map of sight, sight.png, goes into the directory for pictures.

With --bends it looks along bends of 20, 30, 50, 80 and 150 m to either side as well: how far a person (or what --thing
names) is seen there, the speed that stops within it, and the lamp without which most of it would be lost. They begin
where the bend of the rig begins. No map of them is drawn: --bend has that of one.`,
		Example: `  beamfall sight my-truck.toml
  beamfall sight my-truck.toml --thing person --age 65
  beamfall sight my-truck.toml --thing person --at 120m --at 60m,-3m --json
  beamfall sight my-truck.toml --bends
  beamfall sight my-truck.toml --bend "40 m left"
  beamfall sight fleet/*.toml --format csv`,
		RunE: func(cmd *cobra.Command, args []string) error {
			q, err := f.request(args)
			if err != nil {
				return err
			}
			places, err := trackPlaces(at)
			if err != nil {
				return err
			}
			if err := q.oneScene(); err != nil {
				return err
			}
			if bends && len(at) > 0 {
				return errors.New("--bends and --at were both given; places are on one track: give one or the other")
			}
			if bends && f.bend.text != "" {
				return errors.New("--bends and --bend were both given; give one or the other")
			}
			return q.answer(cmd, func(q *request, ctx context.Context, r *rig) (answer, error) {
				if bends {
					return q.bends(ctx, r)
				}
				return q.sight(ctx, r, places)
			})
		},
	}
	f.add(cmd.Flags())
	f.addSight(cmd.Flags())
	without(cmd.Flags(), "wall", "ground-reading", "tolerance", "thresholds", "sight-lux", "traffic")
	cmd.Flags().StringArrayVar(&at, "at", nil, "a place of things: distances ahead and to the left; repeatable")
	cmd.Flags().BoolVar(&bends, "bends", false, "how far along bends of several radii to either side, and straight on")
	return cmd
}

// sight is what the driver sees in the scene that is looked at.
func (q *request) sight(ctx context.Context, r *rig, places []figures.Place) (answer, error) {
	if err := q.ready(); err != nil {
		return answer{}, err
	}
	s, err := figures.SightOf(ctx, r.Rig, r.Scenes[0], places, q.figures)
	if err != nil {
		return answer{}, err
	}
	if s.Pictures, err = q.save(ctx, []picture{q.sightPicture(r, r.Scenes[0], s.Views)}); err != nil {
		return answer{}, err
	}
	u := r.System()
	s.Notes = append(q.seenNotes(r), q.notes(r)...)
	return answer{
		json: s,
		csv: func() *table.Table {
			if len(places) > 0 {
				return report.PointsCSV(u, s)
			}
			return report.ThingsCSV(u, s)
		},
		page: func(page *page) {
			page.table(report.Things(u, s))
			page.text(report.ThingsKey(s) + "\n")
			if len(s.Points) > 0 {
				for _, t := range report.Points(u, s) {
					page.table(t)
				}
			}
			page.list("Notes", s.Notes)
			page.text(caution)
		},
	}, nil
}

// bends is what the driver sees in the scene that is looked at where the track bends.
func (q *request) bends(ctx context.Context, r *rig) (answer, error) {
	s, err := figures.SightOf(ctx, r.Rig, r.Scenes[0], nil, q.figures)
	if err != nil {
		return answer{}, err
	}
	done := q.progress("looking along bends")
	s.Bends, err = figures.BendsOf(ctx, r.Rig, r.Scenes[0], figures.Bends(r.Rig), q.figures, done.at)
	done.end()
	if err != nil {
		return answer{}, err
	}
	u := r.System()
	s.Notes = append(q.seenNotes(r), q.litNotes(r)...)
	return answer{
		json: s,
		csv:  func() *table.Table { return report.BendsCSV(u, s) },
		page: func(page *page) {
			page.table(report.Bends(u, s))
			page.text(report.BendsKey(s) + "\n")
			page.list("Notes", s.Notes)
			page.text(caution)
		},
	}, nil
}

// seenNotes are all notes on what is seen, but for those on the track.
func (q *request) seenNotes(r *rig) []string {
	return append(append([]string{}, r.Notes()...), seeingNotes(r)...)
}

// seeingNotes say what the driver's sight rests on that the rig does not give.
func seeingNotes(r *rig) (notes []string) {
	u := r.System()
	if eye := r.File.Vehicle.Eye; !eye.Given {
		notes = append(notes, fmt.Sprintf("the driver's eye is not given: it is taken to be %s behind the bumper, "+
			"%s to the left, %s up",
			u.Length(-eye.Value.Ahead), u.Length(eye.Value.Left), u.Length(eye.Value.Up)))
	}
	if rho := r.File.Ground.Reflectance; !rho.Given {
		notes = append(notes, fmt.Sprintf("reflectance is not given: the ground is taken to give back %g of the light",
			rho.Value))
	}
	return notes
}

// trackPlaces reads places of things, each AHEAD[,LEFT].
func trackPlaces(texts []string) (places []figures.Place, err error) {
	var wrong []error
	for _, text := range texts {
		parts := strings.Split(text, ",")
		place, err := figures.Place{}, error(nil)
		switch len(parts) {
		case 1:
			place, err = parsePlace(text + ",0")
		case 2:
			place, err = parsePlace(text)
		default:
			err = errors.New("a place on the track is one or two lengths; write e.g. 120m or 60m,-3m")
		}
		if err == nil && (place.Ahead <= 0 || math.Abs(place.Left) > 1000 || place.Ahead > 1000) {
			err = errors.New("things are looked for ahead of the bumper, up to 1000 m")
		}
		if err != nil {
			wrong = append(wrong, fmt.Errorf("--at %s: %w", quantity.Quote(text), err))
		}
		places = append(places, place)
	}
	return places, errors.Join(wrong...)
}
