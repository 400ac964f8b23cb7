package figures

import (
	"context"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/geometry"
)

// How far things are seen where the track bends: the same rig on one track after the other, from
// the sharpest bend to none.

// bendRadii are the radii of the bends that are tried, m: from a turn on a forest track to one of a
// country road.
var bendRadii = []float64{20, 30, 50, 80, 150}

// BendSight is how far things are seen along one track.
type BendSight struct {
	Bend   *Bend       `json:"bend"` // nil: straight
	Things []BendThing `json:"things"`
}

// BendThing is how far a thing is seen along a track, and the lamp or pair without which most of
// that is lost; nil where no lamp adds to it.
type BendThing struct {
	SightThing
	OwedTo *Without `json:"owed_to"`
}

// Bends are tracks that bend by several radii to either side, from where the track of the rig
// bends, and one straight on.
func Bends(r *assembly.Rig) (tracks []geometry.Track) {
	for _, radius := range bendRadii {
		for _, left := range []bool{true, false} {
			tracks = append(tracks, geometry.Track{Radius: radius, Left: left, From: r.Site.Track.From,
				Width: r.Site.Track.Width})
		}
	}
	return append(tracks, geometry.Track{Width: r.Site.Track.Width})
}

// BendsOf works out how far things are seen in a scene along some tracks. Progress is given the
// share done; it may be nil.
func BendsOf(ctx context.Context, r *assembly.Rig, s assembly.Scene, tracks []geometry.Track, o Options,
	progress func(float64)) ([]BendSight, error) {
	if len(o.Things) == 0 {
		o.Things = []string{r.Things[0].Name}
	}
	var out []BendSight
	for i, track := range tracks {
		on := r.On(track)
		on.File.Vehicle.Pitch.Value = 0 // not asked here
		things, _, err := thingsOf(ctx, on, s, &o)
		if err != nil {
			return nil, err
		}
		bend := BendSight{Bend: bendOf(&track)}
		for _, thing := range things {
			bend.Things = append(bend.Things, BendThing{thing, thing.owedTo()})
		}
		out = append(out, bend)
		if progress != nil {
			progress(float64(i+1) / float64(len(tracks)))
		}
	}
	return out, nil
}

// owedTo is the lamp or pair without which most of the range is lost; nil where no lamp adds to it.
// Of a pair it is one lamp where that alone costs nearly as much as both.
func (t *SightThing) owedTo() *Without {
	const least, nearly = 0.05, 0.9 // m, what a table would show; share of the loss
	loss := func(w *Without) float64 {
		if !w.Range.Exists() {
			return float64(t.Range)
		}
		return float64(t.Range - w.Range)
	}
	var most *Without
	for i := range t.Without {
		if w := &t.Without[i]; loss(w) > least && (most == nil || loss(w) > loss(most)) {
			most = w
		}
	}
	if most == nil {
		return nil
	}
	best := most
	for i := range t.Without {
		w := &t.Without[i]
		if pair, one := Pair(w.Lamp); one && pair == most.Lamp && loss(w) > nearly*loss(most) &&
			(best == most || loss(w) > loss(best)) {
			best = w
		}
	}
	return best
}
