package sight

import (
	"context"
	"runtime"
	"slices"
	"sync/atomic"

	"golang.org/x/sync/errgroup"
)

// Work is shared by all cores in pieces that do not depend on each other, so that the answer is the
// same on any number of them.

// worker is the memory of one of several that share work.
type worker struct {
	lux []float64
	row [][]float64
}

// rows are n rows of a number of points, all 0.
func (w *worker) rows(n, points int) [][]float64 {
	w.lux = slices.Grow(w.lux[:0], n*points)[:n*points]
	clear(w.lux)
	w.row = w.row[:0]
	for lux := range slices.Chunk(w.lux, points) {
		w.row = append(w.row, lux)
	}
	return w.row
}

// inParallel does n pieces of work, each on its own, on all cores.
func inParallel(n int, do func(i int, w *worker)) {
	// The error is that of a context which nobody ends.
	_ = inParallelUntil(context.Background(), n, do)
}

// inParallelUntil does so until the context ends, and has its error then.
func inParallelUntil(ctx context.Context, n int, do func(i int, w *worker)) error {
	var next atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	for range min(runtime.GOMAXPROCS(0), n) {
		group.Go(func() error {
			var w worker
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return nil
				}
				if err := ctx.Err(); err != nil {
					return err
				}
				do(i, &w)
			}
		})
	}
	return group.Wait()
}
