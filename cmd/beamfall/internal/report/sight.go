package report

import (
	"fmt"
	"math"

	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/table"
	"beamfall/geometry/sight"
	"beamfall/render/units"
)

// What a driver sees, in tables: how far each thing, and at points every quantity on the way.

// Things is the table of how far things are seen, and what limits it.
func Things(u units.System, s *figures.SightAt) *table.Table {
	where := Along(u, s.Bend)
	if where == "" {
		where = "straight ahead"
	}
	nose := ""
	if len(s.Things) > 0 {
		nose = "nose " + noseAngle(s.Things[0].Pitch) + " up / down"
	}
	t := &table.Table{
		Title: fmt.Sprintf("%s, scene %s: how far a driver of %s years sees things %s", s.Rig, s.Scene,
			units.Number(s.Observer.Age), where),
		Columns: []table.Column{
			{Name: "thing", Least: 8, Lead: true}, {Name: "size", Right: true}, {Name: "gives back", Right: true},
			{Name: "seen to", Right: true},
			{Name: "stops from", Right: true}, {Name: nose, Right: true}, {Name: "limited by", Least: 12},
			{Name: "not seen between"},
		},
	}
	for i := range s.Things {
		th := &s.Things[i]
		reach, stop := unseen(&th.Seen), ""
		if th.Range.Exists() {
			reach, stop = u.Short(float64(th.Range)), u.Speed(float64(th.Stop))
		}
		t.Rows = append(t.Rows, []string{
			th.Name, size(u, th.Of), units.Percent(th.Of.Reflectance), reach, stop, upDown(u, &th.Seen),
			limits[th.LimitedBy], stretches(u, th.Lost),
		})
	}
	t.DropEmpty(nose, "not seen between")
	return t
}

// noseAngle is how far the nose moves, rad: "1°".
func noseAngle(pitch float64) string { return units.Trimmed(pitch*180/math.Pi, 1) + "°" }

// upDown is how far a thing is seen with the nose up and down: "150 / 96 m"; nothing where it does
// not move.
func upDown(u units.System, s *figures.Seen) string {
	if s.Pitch == 0 {
		return ""
	}
	if !s.NoseUp.Exists() && !s.NoseDown.Exists() {
		return unseen(s)
	}
	return units.Pair(seenOr(u, s.NoseUp), seenOr(u, s.NoseDown), " / ")
}

// unseen is why there is no range.
func unseen(s *figures.Seen) string {
	if s.Dense {
		return "not named"
	}
	return "not seen"
}

func seenOr(u units.System, reach figures.Number) string {
	if !reach.Exists() {
		return "not seen"
	}
	return u.Short(float64(reach))
}

// withNose is the same in words: "nose 1° down 96 m, 1° up 150 m".
func withNose(u units.System, s *figures.Seen) string {
	if s.Pitch == 0 {
		return ""
	}
	angle := noseAngle(s.Pitch)
	return "nose " + angle + " down " + seenOr(u, s.NoseDown) + ", " + angle + " up " + seenOr(u, s.NoseUp)
}

// Along says that distances are along a bend: "along a bend of 60 m to the left"; nothing where the
// track is straight.
func Along(u units.System, b *figures.Bend) string {
	if b == nil {
		return ""
	}
	return "along a " + u.Bend(b.Radius, b.Side == "left")
}

// size is how large a thing is: "0.5 × 1.7 m", lying ones across × along.
func size(u units.System, t sight.Thing) string {
	return units.Pair(u.Chosen(t.Width), u.Chosen(t.Height), " × ")
}

// limits are what keeps things from being seen farther, in words.
var limits = map[figures.Limit]string{
	figures.ByLight: "light on it", figures.ByGround: "glare of the lit ground", figures.ByBody: "glare of the hood",
	figures.ByAir:  "glare of the air",
	figures.Hidden: "it is hidden", figures.ByEnd: "nothing, to its end",
}

// ThingsKey explains the table of things.
func ThingsKey(s *figures.SightAt) string {
	return fmt.Sprintf("seen: %s times plainer than the eye's threshold in a glance of %s s. stops from: the "+
		"highest speed from which the vehicle stops "+
		"short of it; where sight ends, not a safe speed. Sizes and shares of light given back are this program's "+
		"choice. beamfall help seeing has the rest.",
		units.Number(s.Observer.Level), units.Number(s.Observer.Glance))
}

// Bends is the table of how far things are seen along one track after the other, and the lamp that
// most of that is owed to.
func Bends(u units.System, s *figures.SightAt) *table.Table {
	from := 0.0
	for i := range s.Bends {
		if b := s.Bends[i].Bend; b != nil {
			from = b.From
		}
	}
	begin := "at the bumper"
	if from > 0 {
		begin = u.Chosen(from) + " ahead"
	}
	t := &table.Table{
		Title: fmt.Sprintf("%s, scene %s: how far a driver of %s years sees things along bends that begin %s", s.Rig,
			s.Scene, units.Number(s.Observer.Age), begin),
		Columns: []table.Column{
			{Name: "thing", Least: 8, Lead: true}, {Name: "bend", Lead: true}, {Name: "seen to", Right: true},
			{Name: "stops from", Right: true},
			{Name: "owed most to", Least: 12}, {Name: "without it", Right: true},
		},
	}
	for k := range s.Bends[0].Things {
		for i := range s.Bends {
			th := &s.Bends[i].Things[k]
			reach, stop, most, without := unseen(&th.Seen), "", "", ""
			if th.Range.Exists() {
				reach, stop = u.Short(float64(th.Range)), u.Speed(float64(th.Stop))
				if th.LimitedBy == figures.ByEnd && s.Bends[i].Bend != nil {
					reach = "all, " + reach
				}
			}
			if th.OwedTo != nil {
				most, without = th.OwedTo.Lamp, seenOr(u, th.OwedTo.Range)
				if _, pair := th.Worth(most + " (left)"); pair {
					most += " (both)"
				}
			} else if th.Range.Exists() {
				most = "no one lamp"
			}
			t.Rows = append(t.Rows, []string{th.Name, bend(u, s.Bends[i].Bend), reach, stop, most, without})
		}
	}
	if len(s.Bends[0].Things) == 1 {
		t.Title = fmt.Sprintf("%s, scene %s: how far a driver of %s years sees %s along bends that begin %s",
			s.Rig, s.Scene, units.Number(s.Observer.Age), thing(s.Bends[0].Things[0].Name), begin)
		t.Columns = t.Columns[1:]
		for i := range t.Rows {
			t.Rows[i] = t.Rows[i][1:]
		}
	}
	return t
}

// bend is a bend as a cell: "20 m left".
func bend(u units.System, b *figures.Bend) string {
	if b == nil {
		return "straight"
	}
	return u.Chosen(b.Radius) + " " + b.Side
}

// BendsKey explains the table of bends.
func BendsKey(s *figures.SightAt) string {
	key := "bend: its radius, and the side it turns to; distances are along it. owed most to: the lamp without " +
		"which most of that is lost, " +
		"and how far is left without it. "
	for i := range s.Bends {
		for _, th := range s.Bends[i].Things {
			if th.LimitedBy == figures.ByEnd && s.Bends[i].Bend != nil {
				return key + "all: to the end of half a turn, where it is looked no farther. " + ThingsKey(s)
			}
		}
	}
	return key + ThingsKey(s)
}

// BendsCSV is the things along bends, one row each.
func BendsCSV(u units.System, s *figures.SightAt) *table.Table {
	out := &spreadsheet{system: u}
	for i := range s.Bends {
		radius, side := math.NaN(), "straight"
		if b := s.Bends[i].Bend; b != nil {
			radius, side = b.Radius, b.Side
		}
		for _, th := range s.Bends[i].Things {
			owed := figures.Without{Range: figures.Number(figures.None())}
			if th.OwedTo != nil {
				owed = *th.OwedTo
			}
			out.row()
			out.text("rig", s.Rig)
			out.text("scene", s.Scene)
			out.text("thing", th.Name)
			out.text("side", side)
			out.length("radius", radius)
			out.length("seen_to", float64(th.Range))
			out.speed("stop", th.Stop)
			out.text("limited_by", string(th.LimitedBy))
			out.text("owed_to", owed.Lamp)
			out.length("without_it", float64(owed.Range))
		}
	}
	return &out.Table
}

// Points is the table of what is seen at points: two tables, the second of how that comes about.
func Points(u units.System, s *figures.SightAt) []*table.Table {
	lead := []table.Column{{Name: "thing", Least: 8, Lead: true}, {Name: "ahead", Right: true, Lead: true},
		{Name: "left", Right: true, Lead: true}}
	seen := &table.Table{Title: "At the points asked for",
		Columns: append(lead[:3:3], table.Column{Name: "light on it", Right: true},
			table.Column{Name: "thing cd/m²", Right: true}, table.Column{Name: "behind it cd/m²", Right: true},
			table.Column{Name: "veil cd/m²", Right: true},
			table.Column{Name: "times the threshold", Right: true}, table.Column{Name: "seen"})}
	how := &table.Table{Title: "How that comes about",
		Columns: append(lead[:3:3], table.Column{Name: "size in arc minutes", Right: true},
			table.Column{Name: "threshold cd/m²", Right: true}, table.Column{Name: "veil from ground", Right: true},
			table.Column{Name: "from body", Right: true},
			table.Column{Name: "from air", Right: true}, table.Column{Name: "from sky", Right: true})}
	for _, p := range s.Points {
		says := "no"
		switch {
		case p.Hidden:
			says = "hidden"
		case p.Seen:
			says = "yes"
		}
		where := []string{p.Thing, u.Short(p.Ahead), u.Short(p.Left)}
		on := " facing"
		if p.Lies {
			on = " ground"
		}
		seen.Rows = append(seen.Rows, append(where[:3:3], units.Light(p.Lux)+on, luminance(p.Luminance),
			luminance(p.Background), luminance(p.VeilSum),
			units.TwoDigits(p.Level), says))
		how.Rows = append(how.Rows, append(where[:3:3], units.Fixed(p.Size, 1), luminance(p.Threshold),
			luminance(p.Veil.Ground), luminance(p.Veil.Body),
			luminance(p.Veil.Air), luminance(p.Veil.Sky)))
	}
	return []*table.Table{seen, how}
}

// ThingsCSV is the things, one row each.
func ThingsCSV(u units.System, s *figures.SightAt) *table.Table {
	out := &spreadsheet{system: u}
	for i := range s.Things {
		th := &s.Things[i]
		out.row()
		out.text("rig", s.Rig)
		out.text("scene", s.Scene)
		out.text("thing", th.Name)
		out.length("seen_to", float64(th.Range))
		out.speed("stop", th.Stop)
		if th.Pitch != 0 {
			out.length("nose_up", float64(th.NoseUp))
			out.length("nose_down", float64(th.NoseDown))
		}
		out.text("limited_by", string(th.LimitedBy))
	}
	return &out.Table
}

// PointsCSV is the things at points, one row each.
func PointsCSV(u units.System, s *figures.SightAt) *table.Table {
	out := &spreadsheet{system: u}
	for _, p := range s.Points {
		out.row()
		out.text("rig", s.Rig)
		out.text("scene", s.Scene)
		out.text("thing", p.Thing)
		out.length("ahead", p.Ahead)
		out.length("left", p.Left)
		out.number("lux", p.Lux)
		out.number("thing_cd_m2", p.Luminance)
		out.number("background_cd_m2", p.Background)
		out.number("veil_cd_m2", p.VeilSum)
		out.number("veil_ground_cd_m2", p.Veil.Ground)
		out.number("veil_body_cd_m2", p.Veil.Body)
		out.number("veil_air_cd_m2", p.Veil.Air)
		out.number("veil_sky_cd_m2", p.Veil.Sky)
		out.number("size_arcmin", p.Size)
		out.number("threshold_cd_m2", p.Threshold)
		out.number("visibility_level", p.Level)
		out.text("seen", fmt.Sprint(p.Seen))
	}
	return &out.Table
}
