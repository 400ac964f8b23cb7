package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"sync/atomic"

	"beamfall/cmd/beamfall/internal/assembly"
	"beamfall/cmd/beamfall/internal/figures"
	"beamfall/cmd/beamfall/internal/savefile"
	"beamfall/geometry"
	"beamfall/geometry/sight"
	"beamfall/render"
	"beamfall/render/draw"

	"golang.org/x/sync/errgroup"
)

// Pictures are drawn in memory and put on the disk when all of them are done, each whole.

// drawing is where pictures go and how they look.
type drawing struct {
	out                 string // directory
	look                draw.Theme
	width               int     // px
	ahead, behind, side float64 // m that they show at least, 0: chosen from the light
	exposure            float64 // cd/m² that the driver's view shows as mid grey, 0: chosen from the light
	mapped              render.Map
	label               string // which of several rigs they are of, for the meter
	reads               *reads // what the call has read, not to be written over
}

// progress shows on a terminal how far work on a rig is.
func (d drawing) progress(what string) *meter { return progress(d.label + what) }

// picture is a picture to be drawn and the name of its file.
type picture struct {
	name string
	draw func(ctx context.Context) (*draw.Canvas, error)
}

// subject is what pictures of a scene show.
func (q *request) subject(r *rig, s assembly.Scene) render.Subject {
	v, o := r.File.Vehicle, &q.figures
	things, err := figures.Things(r.Rig, o.Things)
	if err != nil { // figures say what is wrong with a name
		things = r.Things
	}
	out := render.Subject{
		Rig: r.File.Name, Scene: r.Lit(s), Parked: r.LitParked(s),
		Vehicle: render.Vehicle{
			Length: v.Length.Value, Width: v.Width.Value, Wheelbase: v.Wheelbase.Value,
			FrontOverhang: v.FrontOverhang.Value,
			Eye:           render.Eye{Ahead: v.Eye.Value.Ahead, Left: v.Eye.Value.Left, Up: v.Eye.Value.Up},
		},
		EyeAssumed: !v.Eye.Given,
		Driver:     r.Driver, Around: r.Around(), Things: things,
		Reflectance: r.File.Ground.Reflectance.Value, Thresholds: o.Thresholds, Units: r.System(),
	}
	if pitch := v.Pitch.Value; pitch > 0 {
		out.NoseUp, out.NoseDown = r.LitPitched(s, pitch), r.LitPitched(s, -pitch)
	}
	if len(r.File.Scenes) > 1 || r.File.Scenes[0].Given {
		out.Name = s.Name
	}
	for _, n := range s.Lamps {
		out.Keys = append(out.Keys, n+1)
	}
	return out
}

// looking is what pictures of a scene show that share what figures are worked out by.
func (q *request) looking(r *rig, s assembly.Scene, views *figures.Views) render.Subject {
	out := q.subject(r, s)
	for _, of := range []struct {
		view  *sight.View
		scene **geometry.Scene
	}{{views.Driven, &out.Scene}, {views.NoseUp, &out.NoseUp}, {views.NoseDown, &out.NoseDown}} {
		if of.view != nil {
			view := of.view.Only(s.Lamps...)
			out.Views, *of.scene = append(out.Views, view), view.Scene
		}
	}
	return out
}

// sightPicture is the map of sight of a scene.
func (q *request) sightPicture(r *rig, s assembly.Scene, views *figures.Views) picture {
	subject, d := q.looking(r, s, views), q.drawing
	return picture{"sight.png", func(ctx context.Context) (*draw.Canvas, error) {
		return render.Sight(ctx, subject, d.look, render.SightOptions{Width: d.width})
	}}
}

// ready is an error, before the work is done, if there is no place for its pictures.
func (d drawing) ready() error { return failed(savefile.DirReady(d.out)) }

// abreast is how many pictures are drawn at a time. Of those 8000 pixels wide one takes up to 500
// MB at its end, one of 4000 pixels a quarter of that.
func (d drawing) abreast() int {
	const wide = 4000
	if d.width > wide {
		return 1
	}
	return min(runtime.GOMAXPROCS(0), 4)
}

// save draws pictures, several at a time, and writes them to the directory for pictures, and with
// them other files: all or none. It returns the names of the pictures' files.
func (d drawing) save(ctx context.Context, pictures []picture, others ...savefile.File) ([]string, error) {
	return d.begin(ctx, func() []picture { return pictures }).save(ctx, others...)
}

// underway is pictures that are being drawn while their caller does other work, which counts as one
// of them until it saves or ends them.
type underway struct {
	drawing
	stop  context.CancelFunc
	slots chan struct{}         // as many as may be drawn at a time
	meter atomic.Pointer[meter] // to show how far they are, once there is one
	ended chan struct{}

	// Once it has ended:
	files []savefile.File
	err   error
}

// begin draws pictures, the last first: the driver's view takes the longest.
func (d drawing) begin(ctx context.Context, pictures func() []picture) *underway {
	ctx, stop := context.WithCancel(ctx)
	plenty := sparing()
	u := &underway{drawing: d, stop: stop, slots: make(chan struct{}, d.abreast()), ended: make(chan struct{})}
	u.slots <- struct{}{}
	go func() {
		defer close(u.ended)
		defer plenty()
		all := pictures()
		u.files = make([]savefile.File, len(all))
		var done atomic.Int32
		group, working := errgroup.WithContext(ctx)
		for i, p := range slices.Backward(all) {
			select {
			case u.slots <- struct{}{}:
			case <-working.Done():
				continue
			}
			group.Go(func() (err error) {
				defer func() { <-u.slots }()
				u.files[i], err = d.file(working, p)
				share := float64(done.Add(1)) / float64(len(all))
				if m := u.meter.Load(); m != nil {
					m.at(share)
				}
				return err
			})
		}
		u.err = cmp.Or(group.Wait(), ctx.Err())
	}()
	return u
}

// sparing has garbage collected when it is a quarter of what is in use, not as much again, until the
// function that it returns is called: pictures in the making are large, few and without pointers, so
// that this takes next to no time and plan of the demo a quarter less memory.
func sparing() (plenty func()) {
	const percent = 25
	if os.Getenv("GOGC") != "" {
		return func() {}
	}
	before := debug.SetGCPercent(percent)
	return func() { debug.SetGCPercent(before) }
}

// end gives up what is not done yet, and waits until nobody draws on.
func (u *underway) end() {
	u.stop()
	<-u.ended
}

// save waits for the pictures and writes them, and with them other files: all or none. It returns
// the names of the pictures' files.
func (u *underway) save(ctx context.Context, others ...savefile.File) ([]string, error) {
	m := u.progress("drawing")
	u.meter.Store(m)
	<-u.slots
	<-u.ended
	m.end()
	u.stop()
	if u.err != nil {
		return nil, u.err
	}
	names, err := u.write(ctx, append(u.files, others...))
	if err != nil {
		return nil, err
	}
	return names[:len(u.files)], nil
}

// file draws a picture as a file.
func (d drawing) file(ctx context.Context, p picture) (savefile.File, error) {
	canvas, err := p.draw(ctx)
	if err != nil {
		return savefile.File{}, fmt.Errorf("%s: %w", p.name, err)
	}
	var b bytes.Buffer
	if err := canvas.Encode(&b); err != nil {
		return savefile.File{}, failed(fmt.Errorf("%s: %w", p.name, err))
	}
	return savefile.File{Name: filepath.Join(d.out, p.name), Data: b.Bytes(), Replace: true}, ctx.Err()
}

// write makes the directory for pictures, and those in it that files are for, if need be, and
// writes files.
func (d drawing) write(ctx context.Context, files []savefile.File) ([]string, error) {
	if err := errors.Join(ctx.Err(), d.apart(files)); err != nil {
		return nil, err
	}
	dirs := []string{d.out}
	for _, f := range files {
		if in, err := filepath.Rel(d.out, filepath.Dir(f.Name)); err == nil && filepath.IsLocal(in) {
			dirs = append(dirs, filepath.Join(d.out, in))
		}
	}
	for _, dir := range slices.Compact(dirs) {
		if err := savefile.Dir(dir); err != nil {
			return nil, failed(err)
		}
	}
	return d.written(ctx, files)
}

// written writes all of some files or none, and none once the context has ended; it returns their
// names.
func (d drawing) written(ctx context.Context, files []savefile.File) ([]string, error) {
	err := errors.Join(ctx.Err(), d.apart(files))
	if err == nil {
		err = failed(savefile.All(files))
	}
	if err != nil {
		return nil, err
	}
	names := []string{}
	for _, f := range files {
		fmt.Fprintln(os.Stderr, "wrote "+printable(f.Name))
		names = append(names, f.Name)
	}
	return names, nil
}

// apart is an error if a file to be written is one that the call reads, unless it is a new text for
// just that file, or if it is to be written twice.
func (d drawing) apart(files []savefile.File) error {
	for i, f := range files {
		for k, read := range d.reads.names {
			if sameFile(f.Name, read) && !(f.Rewrites && k == 0) {
				return fmt.Errorf("%s is read by this call, and would be written over; give another name", f.Name)
			}
		}
		for _, other := range files[:i] {
			if sameFile(f.Name, other.Name) {
				return fmt.Errorf("%s would be written twice, as %s; give another name", f.Name,
					filepath.Base(other.Name))
			}
		}
	}
	return nil
}

// sameFile reports whether two names are of one file, be it there or not.
func sameFile(a, b string) bool {
	if first, err := os.Stat(a); err == nil {
		second, err := os.Stat(b)
		return err == nil && os.SameFile(first, second)
	}
	first, err := filepath.Abs(a)
	second, err2 := filepath.Abs(b)
	return err == nil && err2 == nil && first == second
}
