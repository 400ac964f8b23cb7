package draw

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Rows does a job for every row from 0 to n-1, several at a time. Jobs must not depend on each
// other, so that the result does not depend on the number of cores.
func Rows(n int, job func(j int)) {
	workers := min(n, runtime.GOMAXPROCS(0))
	if workers < 2 {
		for j := range n {
			job(j)
		}
		return
	}
	var next atomic.Int64
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			for {
				j := int(next.Add(1)) - 1
				if j >= n {
					return
				}
				job(j)
			}
		})
	}
	all.Wait()
}
